package mp3

import "math"

// The scales 1/(2 cos(pi/2n (2j + 1))) of the DCT of length n.
var (
	dctScale32 = [16]float32(dctScale(32))
	dctScale16 = [8]float32(dctScale(16))
	dctScale8  = [4]float32(dctScale(8))
	dctScale4  = [2]float32(dctScale(4))
)

func dctScale(n int) []float32 {
	t := make([]float32, n/2)
	for j := range t {
		t[j] = float32(1 / (2 * math.Cos(math.Pi/float64(2*n)*float64(2*j+1))))
	}
	return t
}

// dct32 is a DCT of type II:
//
//	y(k) = sum over j of x(j) cos(pi/2n (2j + 1) k),   n = 32
//
// after Lee (IEEE Trans. ASSP 32, 1984): the even y are the DCT of half the length
// of x(j) + x(n-1-j); with d that of (x(j) - x(n-1-j)) / (2 cos(pi/2n (2j + 1))),
// the odd ones are y(2k+1) = d(k) + d(k+1).
func dct32(x, y *[32]float32) {
	var a, b [16]float32
	for j := range 16 {
		u, v := x[j], x[31-j]
		a[j] = u + v
		b[j] = (u - v) * dctScale32[j]
	}
	dct16(&a)
	dct16(&b)
	for k := range 15 {
		y[2*k] = a[k]
		y[2*k+1] = b[k] + b[k+1]
	}
	y[30] = a[15]
	y[31] = b[15]
}

func dct16(x *[16]float32) {
	var a, b [8]float32
	for j := range 8 {
		u, v := x[j], x[15-j]
		a[j] = u + v
		b[j] = (u - v) * dctScale16[j]
	}
	dct8(&a)
	dct8(&b)
	for k := range 7 {
		x[2*k] = a[k]
		x[2*k+1] = b[k] + b[k+1]
	}
	x[14] = a[7]
	x[15] = b[7]
}

func dct8(x *[8]float32) {
	s := &dctScale8
	a0, a1, a2, a3 := dct4(x[0]+x[7], x[1]+x[6], x[2]+x[5], x[3]+x[4])
	b0, b1, b2, b3 := dct4((x[0]-x[7])*s[0], (x[1]-x[6])*s[1], (x[2]-x[5])*s[2], (x[3]-x[4])*s[3])
	x[0], x[2], x[4], x[6] = a0, a1, a2, a3
	x[1], x[3], x[5], x[7] = b0+b1, b1+b2, b2+b3, b3
}

func dct4(x0, x1, x2, x3 float32) (y0, y1, y2, y3 float32) {
	const half = math.Sqrt2 / 2
	a0, a1 := x0+x3, x1+x2
	b0, b1 := (x0-x3)*dctScale4[0], (x1-x2)*dctScale4[1]
	d1 := (b0 - b1) * half
	return a0 + a1, b0 + b1 + d1, (a0 - a1) * half, d1
}
