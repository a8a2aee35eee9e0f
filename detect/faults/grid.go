package faults

import (
	"math"
	"slices"

	"dubgauge/decode/mp3"
)

// An encoder rounds the coefficients of its transform to a grid, most of the high
// ones to zero. Decoded audio that is transformed again with the same frame
// borders shows those zeros; with any other borders, and in audio that was never
// encoded, the coefficients are spread as noise is. So at one of the possible
// offsets the mean of their logarithms stands far below all others. A filter,
// however steep, leaves no such offset: that is what tells a lossy encode from a
// band limit (the idea is that of Derrien, JAES 67(3), 2019).
//
// For coefficients c of all whole frames at an offset, in the band that is looked at:
//
//	flatness = mean(ln c^2) - ln(mean c^2)

const (
	mp3Subbands = 32
	mp3Lines    = 18 // per subband and granule
	mp3Granule  = mp3Subbands * mp3Lines
	mp3Taps     = 512
)

// aliasC are the coefficients c_i of the alias reduction, ISO/IEC 11172-3 table
// 3-B.9.
var aliasC = [8]float64{-0.6, -0.535, -0.33, -0.185, -0.095, -0.041, -0.0142, -0.0037}

// mp3Offsets gives the flatness at each of the 576 offsets of a granule, for lines
// from to to (of 576) and long blocks.
func mp3Offsets(x []float64, from, to int) []float64 {
	lowest, highest := from/mp3Lines-1, min(to/mp3Lines+1, mp3Subbands-1)
	out := make([]float64, mp3Granule)
	for phase := range mp3Subbands {
		bands := mp3Polyphase(x[phase:], lowest, highest)
		for slot := range mp3Lines {
			out[slot*mp3Subbands+phase] = mp3Flatness(bands, slot, lowest, from, to)
		}
	}
	return out
}

// mp3Polyphase is the analysis filterbank (ISO/IEC 11172-3 annex C.1.3):
//
//	S[k] = sum over i of cos((2k+1)(i-16) pi/64) * sum over j of C[i+64j] x[i+64j]
//
// with x the newest first. The cosines mirror each other about i = 16 and, with the other
// sign, about i = 48, so that half of the products are enough.
func mp3Polyphase(x []float64, lowest, highest int) [][]float64 {
	slots := (len(x) - mp3Taps) / mp3Subbands
	out := make([][]float64, highest-lowest+1)
	for b := range out {
		out[b] = make([]float64, slots)
	}
	var v [mp3Subbands]float64
	for s := range slots {
		mp3Fold(x[s*mp3Subbands:][:mp3Taps], &v)
		for b := range out {
			var even, odd float64
			c := &mp3Cosines[lowest+b]
			for i := 0; i < len(v); i += 2 {
				even += c[i] * v[i]
				odd += c[i+1] * v[i+1]
			}
			out[b][s] = even + odd
		}
	}
	return out
}

// mp3Fold gives the sums over j and over the i whose cosines are the same but for the
// sign: v[t] for i = 16+t and 16-t, up to 16, and for i = 16+t and 80-t.
func mp3Fold(x []float64, v *[mp3Subbands]float64) {
	var y [64]float64
	newest := (*[mp3Taps]float64)(x)
	for i := range y {
		sum := 0.0
		for j := i; j < mp3Taps; j += 64 {
			sum += mp3Analysis[j] * newest[mp3Taps-1-j]
		}
		y[i] = sum
	}
	v[0] = y[16]
	for t := 1; t < mp3Subbands; t++ {
		if t <= 16 {
			v[t] = y[16+t] + y[16-t]
		} else {
			v[t] = y[16+t] - y[80-t]
		}
	}
}

// logsAtOnce is how many squares of lines are multiplied before the logarithm is taken:
// from 1e-20 to 1e30, none of them makes the product leave what a number can hold.
const logsAtOnce = 8

// mp3Flatness takes the granules that begin at slot through the MDCT and the alias
// reduction.
func mp3Flatness(bands [][]float64, slot, lowest, from, to int) float64 {
	lines := make([]float64, mp3Lines*len(bands))
	var logs, power float64
	n := 0
	for ; slot+2*mp3Lines <= len(bands[0]); slot += mp3Lines {
		for b := range bands {
			mp3MDCT(bands[b][slot:slot+2*mp3Lines], &mp3Windows[(lowest+b)%2], (*[mp3Lines]float64)(lines[b*mp3Lines:]))
		}
		for border := mp3Lines; border < len(lines); border += mp3Lines {
			for i, a := range &mp3Alias {
				u, d := lines[border-1-i], lines[border+i]
				lines[border-1-i], lines[border+i] = u*a.cs+d*a.ca, d*a.cs-u*a.ca
			}
		}
		part := lines[from-lowest*mp3Lines : to-lowest*mp3Lines]
		n += len(part)
		for len(part) > 0 {
			some := part[:min(logsAtOnce, len(part))]
			part = part[len(some):]
			product := 1.0
			for _, c := range some {
				p := c*c + 1e-20
				product *= p
				power += p
			}
			logs += math.Log(product)
		}
	}
	return logs/float64(n) - math.Log(power/float64(n))
}

var (
	// mp3Analysis is the analysis window C of ISO/IEC 11172-3, a 32nd of the
	// synthesis window D.
	mp3Analysis = func() (c [mp3Taps]float64) {
		for i, d := range mp3.SynthesisWindow() {
			c[i] = float64(d) / 32
		}
		return
	}()
	// mp3Cosines are those of i = 16 and on.
	mp3Cosines = func() (c [mp3Subbands][mp3Subbands]float64) {
		for k := range c {
			for t := range c[k] {
				c[k][t] = math.Cos(float64((2*k+1)*t) * math.Pi / 64)
			}
		}
		return
	}()
	// mp3Alias are the factors of the alias reduction: 1/sqrt(1+c^2) and c/sqrt(1+c^2).
	mp3Alias = func() (a [len(aliasC)]struct{ cs, ca float64 }) {
		for i, c := range aliasC {
			a[i].cs, a[i].ca = 1/math.Sqrt(1+c*c), c/math.Sqrt(1+c*c)
		}
		return
	}()
)

// robust gives the median and the scaled median absolute deviation.
func robust(v []float64) (median, spread float64) {
	s := slices.Clone(v)
	slices.Sort(s)
	median = s[len(s)/2]
	for i, x := range v {
		s[i] = math.Abs(x - median)
	}
	slices.Sort(s)
	return median, 1.4826*s[len(s)/2] + 1e-9
}
