package continuity

// cell sums up cellSamples samples of one channel.
type cell struct {
	sum, energy, slope float32 // of x, of x squared, of (x[i]-x[i-1]) squared
}

func (c cell) Energy() float32 { return c.energy }

// sums measures x, with prev the sample before. Two chains of sums a quantity keep
// the adders busy.
func sums(x []float32, prev float32) cell {
	var s0, s1, e0, e1, d0, d1 float32
	for len(x) >= 2 {
		a, b := x[0], x[1]
		da, db := a-prev, b-a
		prev = b
		s0 += a
		s1 += b
		e0 += a * a
		e1 += b * b
		d0 += da * da
		d1 += db * db
		x = x[2:]
	}
	for _, a := range x {
		s0 += a
		e0 += a * a
		d0 += (a - prev) * (a - prev)
	}
	return cell{sum: s0 + s1, energy: e0 + e1, slope: d0 + d1}
}

// power is the mean square of x, 0 of nothing.
func power(x []float32) float64 {
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	return sum / float64(max(1, len(x)))
}
