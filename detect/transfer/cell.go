package transfer

// cell sums up a few samples of one channel by their second difference
//
//	d[i] = x[i] - 2 x[i-1] + x[i-2]
//
// which rises by 12 dB an octave: what is left of a kick at 50 Hz and full scale is
// -86 dBFS, of white noise it is 7.8 dB more than went in.
type cell struct {
	energy float32 // of d squared
	most   float32 // the highest of d squared
}

// measure fills cells and the means of their parts from the channels x and y, which
// begin with the two samples before. Both go through one loop, as their sums then
// don't wait for each other.
func measure(cells *[2][]cell, parts *[2][]float32, x, y []float32, size int) {
	part := size / partsPerCell
	gain := 1 / float32(part)
	p, q := x[1], x[1]-x[0] // the sample before and the difference there
	r, s := y[1], y[1]-y[0]
	x, y = x[2:], y[2:]
	for i := range len(x) / size {
		var a, b cell
		for j := range partsPerCell {
			u, w := x[:part], y[:part]
			x, y = x[part:], y[part:]
			var left, right float32
			for k, v := range u {
				e := v - p
				d := e - q
				p, q = v, e
				left += v
				d *= d
				a.energy += d
				if d > a.most {
					a.most = d
				}
				v = w[k]
				e = v - r
				d = e - s
				r, s = v, e
				right += v
				d *= d
				b.energy += d
				if d > b.most {
					b.most = d
				}
			}
			parts[0][i*partsPerCell+j] = left * gain
			parts[1][i*partsPerCell+j] = right * gain
		}
		cells[0][i], cells[1][i] = a, b
	}
}

// tame cuts x down to what can be measured if its cells show that it must, and tells
// whether it did. What is no number becomes 0.
func tame(cells []cell, x []float32) bool {
	wild := false
	for i := range cells {
		// A sum that is no number fails the comparison.
		wild = wild || !(cells[i].energy < tallest*tallest)
	}
	if !wild {
		return false
	}
	for i, v := range x {
		if v != v {
			v = 0
		}
		x[i] = max(-tallest, min(tallest, v))
	}
	return true
}
