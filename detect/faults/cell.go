package faults

// cell sums up a few samples of one channel.
type cell struct {
	n        int
	sum      float32 // of x
	energy   float32 // of x squared
	slope    float32 // of (x[i]-x[i-1]) squared
	max, min float32
}

func (c cell) Energy() float32 { return c.energy }

// measure fills dst from x, which begins with the one sample before.
func measure(dst []cell, x []float32, size int) {
	prev := x[0]
	x = x[1:]
	for i := range dst {
		n := min(size, len(x))
		dst[i] = measureOne(x[:n], prev)
		prev = x[n-1]
		x = x[n:]
	}
}

func measureOne(x []float32, prev float32) cell {
	var sum, energy, slope float32
	hi, lo := x[0], x[0]
	for _, v := range x {
		d := v - prev
		prev = v
		sum += v
		energy += v * v
		slope += d * d
		if v > hi {
			hi = v
		} else if v < lo {
			lo = v
		}
	}
	return cell{n: len(x), sum: sum, energy: energy, slope: slope, max: hi, min: lo}
}
