package tempo

import (
	"math"
	"slices"
)

// The phase of the beat is told by what is played on the sixteenths of a bar, added up
// over the whole track: a loud attack on an off-beat is outvoted by a pattern that
// repeats. Each of the sixteenths has a strength in each layer; the beat is where the
// sum of weight and strength is greatest, over the four turns of a bar about it.
//
//	score(t) = max over r of  sum over l, k of w(l,k) sqrt(s(l, t + (k+r) T/4) / mean s(l))
//	           + 12 log(a(t) / max a)
//
// a is what of the middle layer lies on the beats and where sixteenths or triplets do.

// The layers that are asked: the parts of the onset curve, and kicks, which are attacks
// low and wide at once, so that a bass line is not taken for one.
const (
	kicks  = parts
	layers = parts + 1
)

// stepWeights are fitted by a softmax over the sixteen turns of a bar (ridge 0.5), drawn
// to what is common practice (kick on the beat, snare on two and four, little on odd
// sixteenths), on 27 songs of nine genres of even seeds and 32 synthesised grooves. Odd
// seeds are in TestFirstBeats of cmd/dubgauge/verdicts.
var stepWeights = [layers][PatternSteps]float64{
	low:   {0.77, 0.01, 0.27, 0.02, -0.36, -0.30, 0.81, -0.45, 0.09, -0.12, 0.57, -0.09, -0.34, -0.30, 0.45, -0.38},
	mid:   {1.01, -0.63, -0.56, 0.12, 1.29, -0.56, -0.42, 0.01, 1.04, -0.58, -0.44, 0.20, 1.24, -0.52, -0.52, -0.03},
	high:  {-0.27, -0.53, 0.09, -0.04, 0.32, -0.63, 0.11, -0.02, -0.02, -0.57, 0.16, -0.07, 0.31, -0.56, 0.07, 0.10},
	kicks: {1.22, -0.20, -0.04, 0.10, 0.06, -0.32, 0.45, -0.24, 0.50, -0.28, 0.31, 0.07, 0.09, -0.26, 0.16, -0.17},
}

const (
	barBins  = bar * foldBins
	stepBins = barBins / PatternSteps
	// stepSlack is how far from its place a step is looked for, in bins of a 96th of a
	// beat, and stepSwing how late an odd one may be: 66.7 % of swing.
	stepSlack = 3
	stepSwing = 16
	// apart is how far apart two places of the beat must be, in bins: half a sixteenth.
	apart = stepBins / 2
	// candidateLeast is the share of the strongest place of a period that another needs to
	// be asked: what marks a beat in one bar of four is kept.
	candidateLeast = 0.15
	// strayWeight is how much it counts that less of the middle layer lies where strokes are
	// expected, by its logarithm, down to strayMost: a sixteenth that swings is late, not early, so
	// that from one of those beats and eighths lie nowhere. Of 425 pieces what is misplaced by a
	// sixteenth needs 1.3 to 7.9 of it (of even ones up to 5.7), and from 17.9 on one is.
	strayWeight = 12
	strayMost   = 2
	// From tripletFrom to tripletTo of a beat, in bins, the second of two strokes of a triplet lies.
	tripletFrom = 60
	tripletTo   = 67
)

// bars are the layers folded over a bar, each scaled to a mean step of 1.
type bars [layers][]float64

// bars folds the curves over four beats.
func (b *reading) bars() (f bars) {
	hz := b.pulse.hz / bar
	for p, x := range b.part {
		f[p] = smooth(fold(x, b.step, hz, barBins), 2)
	}
	f[kicks] = smooth(fold(b.kicks(), b.step, hz, barBins), 2)
	return f
}

// kicks is the geometric mean of the low part and of the others.
func (b *reading) kicks() []float64 {
	x := make([]float64, len(b.total))
	for i, l := range b.part[low] {
		if l > 0 {
			x[i] = math.Sqrt(l * (b.part[mid][i] + b.part[high][i]))
		}
	}
	return x
}

// beat adds a layer up over a beat.
func (f *bars) beat(layer int) []float64 {
	out := make([]float64, foldBins)
	for i, v := range f[layer] {
		out[i%foldBins] += v
	}
	return out
}

// steps are the strengths of a layer's sixteenths, the first at a bin, and their mean.
func (f *bars) steps(layer, from int) (s [PatternSteps]float64, mean float64) {
	for k := range s {
		late := stepSlack
		if k%2 == 1 {
			late = stepSwing
		}
		for d := -stepSlack; d <= late; d++ {
			s[k] = max(s[k], f[layer][(from+k*stepBins+d+barBins)%barBins])
		}
		mean += s[k] / PatternSteps
	}
	return s, mean
}

// scores are how well the beat lies at each of the bins. The strengths are held against
// the greatest mean of any of them, so that a grid between what is played gets little.
func (f *bars) scores(from []int) []float64 {
	turns := make([][bar]float64, len(from))
	for l := range layers {
		s, top := make([][PatternSteps]float64, len(from)), 1e-300
		for i, at := range from {
			var mean float64
			s[i], mean = f.steps(l, at)
			top = max(top, mean)
		}
		for i := range from {
			for k, v := range s[i] {
				v = math.Sqrt(v / top)
				for r := range turns[i] {
					turns[i][r] += stepWeights[l][(k+r*PatternSteps/bar)%PatternSteps] * v
				}
			}
		}
	}
	out := make([]float64, len(from))
	for i, t := range turns {
		out[i] = slices.Max(t[:])
	}
	f.leaveStrays(out, from)
	return out
}

// leaveStrays takes from the scores of places what the strokes count that lie nowhere from there.
func (f *bars) leaveStrays(scores []float64, from []int) {
	placed, top := make([]float64, len(from)), 0.0
	for i, at := range from {
		placed[i] = f.placed(at)
		top = max(top, placed[i])
	}
	if top <= 0 {
		return
	}
	for i, p := range placed {
		scores[i] += strayWeight * max(-strayMost, math.Log(max(p, 1e-300)/top))
	}
}

// placed is what of the middle layer lies on the beats from a bin on and between them, where
// sixteenths do or, if that is more, triplets.
func (f *bars) placed(from int) (sum float64) {
	s, _ := f.steps(mid, from)
	for k := 0; k < PatternSteps; k += beatSteps {
		second := 0.0
		for d := tripletFrom; d <= tripletTo; d++ {
			second = max(second, f[mid][(from+k*stepBins+d)%barBins])
		}
		sum += s[k] + s[k+1] + max(s[k+2]+s[k+3], second)
	}
	return sum
}

// phase is the time of a beat after the first value, in steady seconds, from 0
// to a period, and the chance that the beat is there and not between.
func (b *reading) phase() (at, chance float64) {
	f := b.bars()
	from := places(f.marks())
	best, lead := b.settle(&f, from, f.scores(from))
	return b.peak(b.total, float64(best)/foldBins/b.pulse.hz), chanceOfPlace(lead)
}

// marks are the layers of a beat, each to its greatest value.
func (f *bars) marks() []float64 {
	sum := make([]float64, foldBins)
	for p := range parts {
		y := f.beat(p)
		top := max(1e-300, y[largest(y)])
		for i, v := range y {
			sum[i] += onBeat[p] * v / top
		}
	}
	return sum
}

// places are the peaks of a circular curve that could be the beat, strongest first.
func places(x []float64) (out []int) {
	left := append([]float64(nil), x...)
	limit := candidateLeast * x[largest(x)]
	for {
		i := largest(left)
		if left[i] <= limit {
			return append(out, i)[:max(1, len(out))]
		}
		out = append(out, i)
		for d := -apart; d <= apart; d++ {
			left[(i+d+len(x))%len(x)] = 0
		}
	}
}
