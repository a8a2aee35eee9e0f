package kick

import "math"

// head is the part by which a kick at a place is known.
func (b *bottom) head(at int) []complex64 {
	return b.y[at-b.samples(headFrom) : at+b.samples(headTo)]
}

// mean of the heads at some places.
func (b *bottom) mean(places []int) []complex64 {
	out := make([]complex64, b.samples(headFrom)+b.samples(headTo))
	for _, at := range places {
		for i, v := range b.head(at) {
			out[i] += v
		}
	}
	scaled(out, len(places))
	return out
}

// scaled divides by n.
func scaled(x []complex64, n int) {
	scale := complex(1/float32(max(1, n)), 0)
	for i := range x {
		x[i] *= scale
	}
}

// coherent is the share of the power of all heads that their mean has.
func (b *bottom) coherent(hits []int) float64 {
	all := 0.0
	for _, at := range hits {
		all += meanPower(b.head(at)) / float64(len(hits))
	}
	return meanPower(b.mean(hits)) / all
}

// correlation of two heads, -1 to 1; 0 for a first that has less than a quarter of the
// power.
func correlation(x, head []complex64) float64 {
	cross := 0.0
	for i, h := range head {
		cross += float64(real(x[i]))*float64(real(h)) + float64(imag(x[i]))*float64(imag(h))
	}
	there, own := meanPower(x), meanPower(head)
	if there < own/4 || own == 0 {
		return 0
	}
	return cross / 2 / float64(len(head)) / math.Sqrt(there*own)
}

func meanPower(x []complex64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += power(v)
	}
	return sum / float64(max(1, len(x)))
}
