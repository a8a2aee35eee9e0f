package tempo

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

// What speaks for a beat to begin a bar, beat by beat: what is played on the sixteenths of
// the bar that would begin there, in each layer; and how much the sound changes there.
const (
	// beatSteps is the number of sixteenths in a beat.
	beatSteps = PatternSteps / bar
	// stepEarly is how far before its place, in sixteenths, the window of a sixteenth
	// begins: it is one long, so that a swung one falls into it.
	stepEarly = 0.25
	// The changes: of the bands of each part from the last beat to this one, of all bands
	// from the last two to the next two, and of sections.
	ofParts    = layers * PatternSteps
	ofTwo      = ofParts + parts
	ofSections = ofTwo + 1
	ofStart    = ofSections + 1
	lineSigns  = ofStart + 1
)

// lineSign is what speaks for a beat, and beatPlayed what is known of it: the strengths of
// its sixteenths by layer, against the layer's mean, as square roots; and the mean levels
// of the bands, in nepers.
type (
	lineSign   [lineSigns]float64
	beatPlayed struct {
		steps  [layers][beatSteps]float64
		levels []float64
	}
)

// played takes the track apart into the beats of g, as far as there are levels.
func (b *reading) played(g *grid, l *levels, start float64) []beatPlayed {
	out, sum := make([]beatPlayed, len(g.times)), make([]float64, len(b.total)+1)
	for layer, x := range [layers][]float64{b.part[low], b.part[mid], b.part[high], b.kicks()} {
		b.strengths(out, layer, x, g.phase, sum)
	}
	for i := range out {
		from := g.times[i] + g.lead - start
		out[i].levels = make([]float64, l.bands)
		if !l.mean(out[i].levels, from, from+1/b.pulse.hz) {
			return out[:i]
		}
	}
	return out
}

// strengths fills in the sixteenths of a layer from its sums over their windows; sum is one
// longer than the layer and written over.
func (b *reading) strengths(out []beatPlayed, layer int, x []float64, phase float64, sum []float64) {
	sum[0] = 0
	for i, v := range x {
		sum[i+1] = sum[i] + v
	}
	until := func(place float64) float64 { return sum[max(0, min(len(x), int(math.Round(place))))] }
	step := 1 / b.pulse.hz / b.step / beatSteps // values
	mean := max(sum[len(x)]/float64(len(x))*step, 1e-300)
	for i := range out {
		for k := range beatSteps {
			from := phase/b.step + (float64(beatSteps*i+k)-stepEarly)*step
			out[i].steps[layer][k] = math.Sqrt((until(from+step) - until(from)) / mean)
		}
	}
}

// lineSignsOf gives what speaks for each beat of whole bars; part is that of each band.
func lineSignsOf(beats []beatPlayed, part []int) []lineSign {
	out := make([]lineSign, max(0, len(beats)-bar+1))
	rest := residual(beats, bar)
	for i := range out {
		for l := range layers {
			for k := range PatternSteps {
				out[i][l*PatternSteps+k] = beats[i+k/beatSteps].steps[l][k%beatSteps]
			}
		}
		if i < 2 {
			continue
		}
		for k, p := range part {
			out[i][ofParts+p] += math.Abs(rest[i][k] - rest[i-1][k])
			out[i][ofTwo] += math.Abs(rest[i][k] + rest[i+1][k] - rest[i-1][k] - rest[i-2][k])
		}
	}
	for i, v := range sectionChanges(beats, bar) {
		if i < len(out) {
			out[i][ofSections] = v
		}
	}
	for s := ofParts; s <= ofSections; s++ {
		scaleSign(out, s)
	}
	return out
}

// residual is the levels of the beats without the mean of those at the same place of a bar
// of so many: what the drums repeat is taken out, and what chords and bass do is left.
func residual(beats []beatPlayed, bar int) [][]float64 {
	if len(beats) == 0 {
		return nil
	}
	bands := len(beats[0].levels)
	mean := make([][]float64, bar)
	for c := range mean {
		mean[c] = make([]float64, bands)
		n := float64((len(beats) - c + bar - 1) / bar)
		for i := c; i < len(beats); i += bar {
			for k, v := range beats[i].levels {
				mean[c][k] += v / n
			}
		}
	}
	out := make([][]float64, len(beats))
	for i := range beats {
		out[i] = make([]float64, bands)
		for k, v := range beats[i].levels {
			out[i][k] = v - mean[i%bar][k]
		}
	}
	return out
}

const (
	// spanBars is the number of bars on either side that are compared for a change of
	// section, and changeLeast how much greater than the median the difference must be.
	spanBars    = 2
	changeLeast = 2
)

// sectionChanges are how much the mean of the bands over the next two bars of so many beats (or
// parts of one) differs from that over the last two, squared, where that is more than at those around.
//
//	d(i) = sum over bands |L(i..i+2 bar) - L(i-2 bar..i)|
func sectionChanges(beats []beatPlayed, bar int) []float64 {
	span := spanBars * bar
	d := make([]float64, len(beats))
	for i := span; i+span < len(beats); i++ {
		for k := range beats[i].levels {
			diff := 0.0
			for j := range span {
				diff += beats[i+j].levels[k] - beats[i-1-j].levels[k]
			}
			d[i] += math.Abs(diff)
		}
	}
	typical := dsp.Median(d)
	out := make([]float64, len(beats))
	for i := bar; i+bar < len(d); i++ {
		if d[i] >= changeLeast*typical && d[i] >= slices.Max(d[i-bar/2:i+bar/2+1]) {
			out[i] = d[i] * d[i]
		}
	}
	return out
}

// scaleSign gives a sign a mean of 1.
func scaleSign(x []lineSign, s int) {
	sum := 0.0
	for i := range x {
		sum += x[i][s] / float64(len(x))
	}
	for i := range x {
		x[i][s] /= max(sum, 1e-300)
	}
}
