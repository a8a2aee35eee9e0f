package compare

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// differDB is the mean difference over the bands from which a second is not the same music:
	// encoders and equalisers, whose own is taken out, stay under 1 dB, limiters under 2.
	differDB = 3.0
	// quiet in dB of full scale: a band below it is no difference.
	quiet = -70.0
	// mostDiffer in dB bounds what one band says.
	mostDiffer = 20.0
	// leastSpan in seconds of what only one of the two has.
	leastSpan = 0.5
)

// spans lists where B, which lies offset seconds later, differs from A.
func spans(a, b *outline, offset float64) []Span {
	lag := int(math.Round(offset * frameRate))
	var out []Span
	from, to := max(0, -lag), min(len(a.frames), len(b.frames)-lag)
	out = only(out, "a", 0, from)
	out = only(out, "b", 0, lag)
	out = append(out, within(a, b, lag, from, to)...)
	out = only(out, "a", to, len(a.frames))
	return only(out, "b", to+lag, len(b.frames))
}

func only(out []Span, in string, from, to int) []Span {
	if float64(to-from) < leastSpan*frameRate {
		return out
	}
	return append(out, Span{StartS: float64(from) / frameRate, EndS: float64(to) / frameRate, In: in})
}

// within lists the seconds of [from,to) of A in which the bands move apart, those next to
// each other as one.
func within(a, b *outline, lag, from, to int) (out []Span) {
	seconds := (to - from) / frameRate
	if seconds < 1 {
		return nil
	}
	diff := make([][bands]float64, seconds)
	var usual [bands]float64
	for band := range usual {
		one, two := make([]float64, seconds), make([]float64, seconds)
		for s := range diff {
			one[s], two[s] = second(a, from+s*frameRate, band), second(b, from+lag+s*frameRate, band)
		}
		column := bandOver(one, two)
		for s, d := range column {
			diff[s][band] = d
		}
		usual[band] = dsp.Median(column)
	}
	last := -1
	for s, d := range diff {
		sum := 0.0
		for band := range d {
			sum += math.Min(mostDiffer, math.Abs(d[band]-usual[band])) / bands
		}
		if sum < differDB {
			continue
		}
		start := float64(from)/frameRate + float64(s)
		if last == s-1 && len(out) > 0 {
			n := &out[len(out)-1]
			seconds := n.EndS - n.StartS
			n.DB = (n.DB*seconds + sum) / (seconds + 1)
			n.EndS = start + 1
		} else {
			out = append(out, Span{start, start + 1, "both", sum})
		}
		last = s
	}
	return out
}

// bandOver is by how many dB a band of one track lies over that of the other, second by second. What
// is quiet in the fainter one is so in the louder as well, by as much higher as that is louder.
func bandOver(one, two []float64) []float64 {
	var both []float64
	for s := range one {
		if one[s] > quiet && two[s] > quiet {
			both = append(both, one[s]-two[s])
		}
	}
	louder := 0.0
	if len(both) > 0 {
		louder = dsp.Median(both)
	}
	out := make([]float64, len(one))
	for s := range out {
		out[s] = math.Max(one[s], quiet+math.Max(0, louder)) - math.Max(two[s], quiet+math.Max(0, -louder))
	}
	return out
}

// second is the mean power of a band over a second from frame f, in dB.
func second(o *outline, f, band int) float64 {
	sum := 0.0
	for i := f; i < f+frameRate; i++ {
		sum += math.Pow(10, float64(o.frames[i][band])/10)
	}
	return 10 * math.Log10(sum/frameRate)
}
