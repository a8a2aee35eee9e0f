package faults

import "math"

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
	hi, lo := ordered(x[0]), ordered(x[0])
	for _, v := range x {
		d := v - prev
		prev = v
		sum += v
		energy += v * v
		slope += d * d
		o := ordered(v)
		hi, lo = max(hi, o), min(lo, o)
	}
	return cell{n: len(x), sum: sum, energy: energy, slope: slope, max: number(hi), min: number(lo)}
}

// measureTwo is measure for two channels at once, whose sums do not wait for one another.
func measureTwo(dst, other []cell, x, y []float32, size int) {
	p, q := x[0], y[0]
	x, y = x[1:], y[1:]
	other = other[:len(dst)]
	for i := range dst {
		n := min(size, len(x))
		measurePair(&dst[i], &other[i], x[:n], y[:n], p, q)
		p, q = x[n-1], y[n-1]
		x, y = x[n:], y[n:]
	}
}

// measurePair is measureOne for two channels, p and q being the samples before.
func measurePair(a, b *cell, x, y []float32, p, q float32) {
	var sum, energy, slope, sum2, energy2, slope2 float32
	y = y[:len(x)]
	hi, hi2 := ordered(x[0]), ordered(y[0])
	lo, lo2 := hi, hi2
	for i, v := range x {
		w := y[i]
		d, e := v-p, w-q
		p, q = v, w
		sum += v
		energy += v * v
		slope += d * d
		sum2 += w
		energy2 += w * w
		slope2 += e * e
		o, u := ordered(v), ordered(w)
		hi, lo = max(hi, o), min(lo, o)
		hi2, lo2 = max(hi2, u), min(lo2, u)
	}
	*a = cell{n: len(x), sum: sum, energy: energy, slope: slope, max: number(hi), min: number(lo)}
	*b = cell{n: len(x), sum: sum2, energy: energy2, slope: slope2, max: number(hi2), min: number(lo2)}
}

// ordered is a whole number that is in the order of the numbers in single precision, and
// number the way back: whole numbers are compared without a jump, which for samples would
// be taken wrongly every few of them.
func ordered(v float32) int32 {
	b := int32(math.Float32bits(v))
	return b ^ int32(uint32(b>>31)>>1)
}

func number(o int32) float32 {
	return math.Float32frombits(uint32(o ^ int32(uint32(o>>31)>>1)))
}
