package tempo

import "math"

const (
	// sixteenthLeast is how strong the off-beat sixteenths must be against the
	// eighths, in the part of the curve where they are strongest, to have a place.
	sixteenthLeast = 0.12
	// partLeast is the share of all onsets that a part needs to be asked.
	partLeast = 0.05
	// swingLow and swingHigh bound where an off-beat sixteenth is looked for, in
	// parts of an eighth.
	swingLow  = 0.45
	swingHigh = 0.72
	// attackDoubt is the correction, in seconds, that is too large to come from a
	// difference in loudness, the error of the onset curve.
	attackDoubt = 0.006
)

// swing is how late the off-beat sixteenths lie, in percent of an eighth, NaN
// where there are none; a sound that swells comes out up to 3 % late. They are found in the part of the onset curve where
// they stand out most; eighths and sixteenths are then timed by their attacks.
func (b *reading) swing(fine *envelope) float64 {
	eighth := 1 / b.pulse.hz / 2 // seconds
	all := 0.0
	var sums [parts]float64
	for p, x := range b.part {
		for _, v := range x {
			sums[p] += v
		}
		all += sums[p]
	}
	on, late, most := 0.0, math.NaN(), sixteenthLeast
	for p, x := range b.part {
		if sums[p] < partLeast*all {
			continue
		}
		if i, d, strength := offBeat(fold(x, b.step, 1/eighth, foldBins), eighth); strength > most {
			on, late, most = i*eighth, d*eighth, strength
		}
	}
	if math.IsNaN(late) {
		return late
	}
	var eighths, sixteenths []float64
	for t := on; t+late < b.duration() && t < fineLength; t += eighth {
		eighths = append(eighths, b.seconds(t))
		sixteenths = append(sixteenths, b.seconds(t+late))
	}
	l, sharpLate := fine.attack(sixteenths)
	e, sharpOn := fine.attack(eighths)
	if d := l - e; sharpLate && sharpOn && math.Abs(d) < attackDoubt {
		late += d
	}
	return 100 * late / eighth
}

// offBeat finds, in a curve folded over an eighth of the given length in
// seconds, the place of the eighth, that of the off-beat sixteenth after it, both in
// parts of an eighth, and the strength of the second against the first.
func offBeat(y []float64, eighth float64) (on, late, strength float64) {
	z := smooth(y, 2)
	top, low := 0, z[0]
	for i, v := range z {
		if v > z[top] {
			top = i
		}
		low = min(low, v)
	}
	best := -1
	for d := range foldBins {
		if u := float64(d) / foldBins; u < swingLow || u > swingHigh {
			continue
		}
		i := (top + d) % foldBins
		if z[i] > z[(i+1)%foldBins] && z[i] >= z[(i+foldBins-1)%foldBins] && (best < 0 || z[i] > z[best]) {
			best = i
		}
	}
	if best < 0 || z[top] <= low {
		return 0, math.NaN(), 0
	}
	reach := peakReach / eighth * foldBins
	on = centroid(y, top, reach) / foldBins
	late = math.Mod(centroid(y, best, reach)/foldBins-on+1, 1)
	return on, late, (z[best] - low) / (z[top] - low)
}

// centroid is the place of a peak near bin i of a circular curve.
func centroid(y []float64, i int, reach float64) float64 {
	var w, sum float64
	for d := -int(reach); d <= int(reach); d++ {
		u := float64(d) / reach
		v := y[((i+d)%len(y)+len(y))%len(y)] * (1 - u*u)
		w += v
		sum += v * float64(d)
	}
	if w == 0 {
		return float64(i)
	}
	return float64(i) + sum/w
}
