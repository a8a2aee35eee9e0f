package faults

// cell sums up a few samples of one channel.
type cell struct {
	n        int
	sum      float32 // of x
	energy   float32 // of x squared
	slope    float32 // of (x[i]-x[i-1]) squared
	max, min float32
}

// tallest is the highest sample that is taken as it is: +80 dBFS. Float files can hold
// anything; what is higher, or no number, is damage, and its square must not make
// figures of the whole track infinite.
const tallest = 1e4

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
