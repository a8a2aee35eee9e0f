package mp3

import "math"

// shortWindow is sin(pi/12 (i + 1/2)) (clause 2.4.3.4.10.3), with the signs of
// the mirroring and the factors 1/(2 cos t) of hybrid.
var shortWindow = makeShortWindow()

func makeShortWindow() (t [12]float32) {
	for i := range t {
		w := math.Sin(math.Pi / 12 * (float64(i) + 0.5))
		j := i + 3
		if i >= 3 {
			w = -w
			j = 8 - i
		}
		if i >= 9 {
			j = i - 9
		}
		t[i] = float32(w / (2 * math.Cos(math.Pi/24*float64(2*j+1))))
	}
	return t
}

// oddScale3 are 1/(2 cos(pi/12 (2j + 1))).
var oddScale3 = [3]float32{
	float32(1 / (2 * math.Cos(math.Pi/12))),
	float32(1 / (2 * math.Cos(math.Pi/4))),
	float32(1 / (2 * math.Cos(5*math.Pi/12))),
}

// imdct12 transforms one subband of three short windows, whose lines take turns
// in x. Window w starts 6 + 6w samples into the 36 of a long one.
func imdct12(x, overlap *[slots]float32, win *[12]float32, odd bool, out *[slots*subbands - subbands + 1]float32) {
	var sum [2 * slots]float32
	for w := range 3 {
		addShort(x, w, win, (*[12]float32)(sum[6+6*w:]))
	}
	if odd {
		for t := 1; t < 2*slots; t += 2 {
			sum[t] = -sum[t]
		}
	}
	for t := range slots {
		out[t*subbands] = overlap[t] + sum[t]
	}
	copy(overlap[:], sum[slots:])
}

// addShort adds the windowed transform of lines w, w+3, ... to sum.
func addShort(x *[slots]float32, w int, win, sum *[12]float32) {
	x0, x1, x2, x3, x4, x5 := x[w], x[w+3], x[w+6], x[w+9], x[w+12], x[w+15]
	z1, z3 := x1+x0, x3+x2
	even := dct3(x0, x2+x1, x4+x3)
	odd := dct3(z1, z3+z1, x5+x4+z3)
	for j := range 3 {
		o := odd[j] * oddScale3[j]
		a, b := even[j]+o, even[j]-o
		sum[2-j] += b * win[2-j]
		sum[3+j] += b * win[3+j]
		sum[8-j] += a * win[8-j]
		sum[9+j] += a * win[9+j]
	}
}

// dct3 is a DCT of type III: y(n) = sum over m of z(m) cos(pi/6 m (2n + 1)).
func dct3(z0, z1, z2 float32) [3]float32 {
	a, b := z0+0.5*z2, cos30*z1
	return [3]float32{a + b, z0 - z2, a - b}
}
