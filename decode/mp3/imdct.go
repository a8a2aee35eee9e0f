package mp3

import "math"

// hybrid is the hybrid filter bank's second half for one channel: the inverse
// modified DCT of each subband, windowed and overlapped (clause 2.4.3.4.10).
//
//	x(i) = sum over k < n/2 of X(k) cos(pi/2n (2i + 1 + n/2) (2k + 1)),   n = 36 or 12
//
// The cosine sum is a DCT of type IV, y(j) with j < n/2, mirrored:
//
//	x(i) = y(i + n/4)            i < n/4
//	x(i) = -y(3n/4 - 1 - i)      n/4 <= i < 3n/4
//	x(i) = -y(i - 3n/4)          3n/4 <= i
//
// With t = pi/2n (2j + 1) and 2 cos(t) cos((2k+1) t) = cos(2k t) + cos(2(k+1) t)
// it becomes a DCT of type III:
//
//	y(j) = 1/(2 cos t) sum over k of (X(k) + X(k-1)) cos(2k t)
//
// whose even terms are a DCT of type III of half the length, and whose odd terms,
// by the same identity once more, another one; y(j) is their sum and
// y(n/2-1-j) their difference. 1/(2 cos t) is part of the window.
type hybrid struct {
	overlap [subbands][slots]float32
	live    int // subbands whose overlap may differ from zero
}

// slotBlock is the filter bank's output: 18 time slots of 32 subbands.
type slotBlock [slots * subbands]float32

// slot returns the subbands of slot t.
func (b *slotBlock) slot(t int) *[subbands]float32 {
	return (*[subbands]float32)(b[t*subbands:])
}

// transform turns the spectrum of a granule into time slots. Subbands from
// active on are zero. The frequency inversion (clause 2.4.3.4.10.4), a change of
// sign of every odd slot of the odd subbands, is part of the windows.
func (f *hybrid) transform(x *[granuleSamples]float32, active int, g *granule, out *slotBlock) {
	for sb := range active {
		in := (*[slots]float32)(x[sb*slots:])
		dst := (*[slots*subbands - subbands + 1]float32)(out[sb:])
		block := g.blockType
		if g.mixed && sb < mixedLines/slots {
			block = blockLong
		}
		if block == blockShort {
			imdct12(in, &f.overlap[sb], &shortWindow, sb&1 == 1, dst)
		} else {
			imdct36(in, &f.overlap[sb], &longWindows[sb&1][block], dst)
		}
	}
	for sb := active; sb < f.live; sb++ {
		for t := range slots {
			out[t*subbands+sb] = f.overlap[sb][t]
		}
		f.overlap[sb] = [slots]float32{}
	}
	for t := range slots {
		clear(out.slot(t)[max(active, f.live):])
	}
	f.live = active
}

// longWindows are by parity of the subband and by block type (clause
// 2.4.3.4.10.3), with the signs of the mirroring, the factors 1/(2 cos t) and the
// frequency inversion.
//
//	normal: sin(pi/36 (i + 1/2))                        0 <= i < 36
//	start:  the first half of normal, 6 ones, sin(pi/12 (i - 18 + 1/2)) 24 <= i < 30, 0
//	stop:   start mirrored
var longWindows = makeLongWindows()

func makeLongWindows() (all [2][4][2 * slots]float32) {
	const n = 2 * slots
	for parity := range all {
		for block := range all[parity] {
			for i := range n {
				w := longShape(block, i)
				j := i + n/4 // the place in y
				if i >= n/4 {
					w = -w
					j = 3*n/4 - 1 - i
				}
				if i >= 3*n/4 {
					j = i - 3*n/4
				}
				w /= 2 * math.Cos(math.Pi/(2*n)*float64(2*j+1))
				if parity == 1 && i%2 == 1 {
					w = -w
				}
				all[parity][block][i] = float32(w)
			}
		}
	}
	return all
}

func longShape(block, i int) float64 {
	if block == blockStop {
		i = 2*slots - 1 - i
	}
	switch normal := math.Sin(math.Pi / 36 * (float64(i) + 0.5)); {
	case block == blockLong || i < 18:
		return normal
	case i < 24:
		return 1
	case i < 30:
		return math.Sin(math.Pi / 12 * (float64(i) - 18 + 0.5))
	}
	return 0
}

// oddScale9 are 1/(2 cos(pi/36 (2j + 1))), the scale of the odd terms.
var oddScale9 = makeOddScale9()

func makeOddScale9() (t [9]float32) {
	for j := range t {
		t[j] = float32(1 / (2 * math.Cos(math.Pi/36*float64(2*j+1))))
	}
	return t
}

// imdct36 transforms one subband of long windows; out has a slot every 32 places.
func imdct36(x, overlap *[slots]float32, w *[2 * slots]float32, out *[slots*subbands - subbands + 1]float32) {
	var even, odd [9]float32
	even[0] = x[0]
	odd[0] = x[1] + x[0]
	previous := odd[0]
	for m := 1; m < 9; m++ {
		even[m] = x[2*m] + x[2*m-1]
		z := x[2*m+1] + x[2*m]
		odd[m] = z + previous
		previous = z
	}
	dct9(&even)
	dct9(&odd)
	for j := range 9 {
		o := odd[j] * oddScale9[j]
		a, b := even[j]+o, even[j]-o
		out[(8-j)*subbands] = overlap[8-j] + b*w[8-j]
		out[(9+j)*subbands] = overlap[9+j] + b*w[9+j]
		overlap[8-j] = a * w[26-j]
		overlap[9+j] = a * w[27+j]
	}
}

// The cosines of multiples of pi/18, 10 degrees, that dct9 uses.
const (
	cos30 = 0.866025403784438646763723170752936183
	cos40 = 0.766044443118978035202392650555416674
	cos50 = 0.642787609686539326322643409907263433
	cos70 = 0.342020143325668733044099614682259580
	cos80 = 0.173648177666930348851716626769314796
)

// dct9 is a DCT of type III, in place:
//
//	y(n) = sum over m of z(m) cos(pi/18 m (2n + 1))
//
// The terms of even m are the same for n and 8-n, those of odd m change their
// sign. In each of the two sums cos 20 = cos 40 + cos 80 and cos 10 = cos 50 + cos 70
// (degrees) leave four products.
func dct9(z *[9]float32) {
	middle, half := z[0]-z[6], z[0]+0.5*z[6]
	u, v := z[2]+z[4], z[2]+z[8]
	a := cos40*u + cos80*v
	b := cos40*(v-u) - cos80*u
	rest := z[2] - z[4] - z[8]
	p0, p1, p2, p3, p4 := half+a, middle+0.5*rest, half+b, half-a-b, middle-rest

	third := cos30 * z[3]
	u, v = z[1]+z[5], z[1]+z[7]
	a = cos50*u + cos70*v
	b = cos50*v + cos70*(v-u)
	q0, q1, q2, q3 := a+third, cos30*(z[1]-z[5]-z[7]), b-third, a-b-third

	z[0], z[8] = p0+q0, p0-q0
	z[1], z[7] = p1+q1, p1-q1
	z[2], z[6] = p2+q2, p2-q2
	z[3], z[5] = p3+q3, p3-q3
	z[4] = p4
}
