package continuity

import "math"

// phaseBins parts of a beat are told apart, 5 ms at 125 BPM.
const phaseBins = 96

// phases is when in the beat things begin, in phaseBins of it.
type phases [phaseBins]float64

// phases sums up what begins when in a beat of so many seconds, for each whole second.
func (o *onsets) phases(beat float64) []phases {
	slots := make([]phases, int(float64(len(o.rises))*o.seconds))
	for i, r := range o.rises {
		t := (float64(i) + 0.5) * o.seconds
		if s := int(t); s < len(slots) {
			_, part := math.Modf(t / beat)
			slots[s][int(part*phaseBins)] += float64(r)
		}
	}
	return slots
}

func (p *phases) add(o *phases, times float64) {
	for b, v := range o {
		p[b] += times * v
	}
}

func (p *phases) sum() (sum float64) {
	for _, v := range p {
		sum += v
	}
	return sum
}

// rhythm is the sum of some slots as even makes it.
func rhythm(slots []phases) phases {
	var sum phases
	for i := range slots {
		sum.add(&slots[i], 1)
	}
	return sum.even()
}

// even is a sum without its mean, smoothed over three bins, and of a sum of squares of 1.
func (p *phases) even() (out phases) {
	mean, squares := 0.0, 0.0
	for b := range p {
		out[b] = (p[(b+phaseBins-1)%phaseBins] + 2*p[b] + p[(b+1)%phaseBins]) / 4
		mean += out[b] / phaseBins
	}
	for b := range out {
		out[b] -= mean
		squares += out[b] * out[b]
	}
	if squares > 0 {
		for b := range out {
			out[b] /= math.Sqrt(squares)
		}
	}
	return out
}

// likeness is the correlation of two rhythms at all distances, in bins.
type likeness phases

func liken(a, b *phases) (l likeness) {
	for d := range l {
		sum := 0.0
		for k, v := range a[:phaseBins-d] {
			sum += v * b[k+d]
		}
		for k, v := range a[phaseBins-d:] {
			sum += v * b[k]
		}
		l[d] = sum
	}
	return l
}

// top is the greatest likeness, and by how many seconds, of a beat of so many, it lies off
// the sixteenths: between the bins by the parabola through the three highest.
func (l *likeness) top(beat float64) (most, off float64) {
	best := 0
	for d, v := range l {
		if v > l[best] {
			best = d
		}
	}
	x, before, after := float64(best), l[(best+phaseBins-1)%phaseBins], l[(best+1)%phaseBins]
	if bend := 2*l[best] - before - after; bend > 0 {
		x += (after - before) / 2 / bend
	}
	return l[best], math.Remainder(x/phaseBins*beat, beat/sixteenths)
}

// near is the greatest likeness so many seconds off the sixteenths, and as near as within.
func (l *likeness) near(off, within, beat float64) float64 {
	most := -1.0
	for d, v := range l {
		if math.Abs(math.Remainder(float64(d)/phaseBins*beat-off, beat/sixteenths)) <= within {
			most = max(most, v)
		}
	}
	return most
}
