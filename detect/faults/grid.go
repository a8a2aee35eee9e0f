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
// with x the newest first.
func mp3Polyphase(x []float64, lowest, highest int) [][]float64 {
	slots := (len(x) - mp3Taps) / mp3Subbands
	out := make([][]float64, highest-lowest+1)
	for b := range out {
		out[b] = make([]float64, slots)
	}
	var y [64]float64
	for s := range slots {
		newest := s*mp3Subbands + mp3Taps - 1
		for i := range y {
			y[i] = 0
			for j := i; j < mp3Taps; j += 64 {
				y[i] += mp3Analysis[j] * x[newest-j]
			}
		}
		for b := range out {
			sum := 0.0
			for i, c := range mp3Cosines[lowest+b] {
				sum += c * y[i]
			}
			out[b][s] = sum
		}
	}
	return out
}

// mp3Flatness takes the granules that begin at slot through the MDCT and the alias
// reduction.
func mp3Flatness(bands [][]float64, slot, lowest, from, to int) float64 {
	lines := make([][mp3Lines]float64, len(bands))
	var logs, power float64
	n := 0
	for ; slot+2*mp3Lines <= len(bands[0]); slot += mp3Lines {
		for b := range bands {
			mp3MDCT(bands[b][slot:slot+2*mp3Lines], (lowest+b)%2 == 1, &lines[b])
		}
		for b := range len(lines) - 1 {
			for i, c := range aliasC {
				cs, ca := 1/math.Sqrt(1+c*c), c/math.Sqrt(1+c*c)
				u, d := lines[b][mp3Lines-1-i], lines[b+1][i]
				lines[b][mp3Lines-1-i], lines[b+1][i] = u*cs+d*ca, d*cs-u*ca
			}
		}
		for k := from; k < to; k++ {
			c := lines[k/mp3Lines-lowest][k%mp3Lines]
			p := c*c + 1e-20
			logs += math.Log(p)
			power += p
			n++
		}
	}
	return logs/float64(n) - math.Log(power/float64(n))
}

// mp3MDCT is the MDCT of long blocks; in odd subbands every odd sample is inverted.
func mp3MDCT(in []float64, odd bool, out *[mp3Lines]float64) {
	var z [2 * mp3Lines]float64
	for i, v := range in {
		if odd && i%2 == 1 {
			v = -v
		}
		z[i] = v * mp3Sine[i]
	}
	for m := range out {
		sum := 0.0
		for i, c := range &mp3Rows[m] {
			sum += c * z[i]
		}
		out[m] = sum
	}
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
	mp3Cosines = func() (c [mp3Subbands][64]float64) {
		for k := range c {
			for i := range c[k] {
				c[k][i] = math.Cos(float64(2*k+1) * float64(i-16) * math.Pi / 64)
			}
		}
		return
	}()
	mp3Sine = func() (w [2 * mp3Lines]float64) {
		for i := range w {
			w[i] = math.Sin(math.Pi / 36 * (float64(i) + 0.5))
		}
		return
	}()
	mp3Rows = func() (c [mp3Lines][2 * mp3Lines]float64) {
		for m := range c {
			for i := range c[m] {
				c[m][i] = math.Cos(math.Pi / 72 * float64(2*i+1+mp3Lines) * float64(2*m+1))
			}
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
