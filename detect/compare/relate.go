package compare

import (
	"math"
	"math/cmplx"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
	"dubgauge/detect/spectrum"
)

const (
	// transform is the length of the spectra that the change is taken from: bins of 11 Hz at 44.1 kHz.
	transform = 4096
	// block is the length in seconds in which a limiter's gain hardly moves.
	block = 0.005
	// silent is how far below the highest peak a block says nothing about gain.
	silent = 0.03
)

// sums are powers of the two tracks over all windows.
type sums struct{ aa, bb, ab float64 }

func (s *sums) add(a, b float64) {
	s.aa += a * a
	s.bb += b * b
	s.ab += a * b
}

// gain of b over a by least squares.
func (s *sums) gain() float64 { return s.ab / s.aa }

// left is the power of b that a does not explain, of b's.
func (s *sums) left() float64 { return math.Max(0, 1-s.ab*s.ab/(s.aa*s.bb)) }

// relation is what the windows say of B over A.
type relation struct {
	total  sums
	follow float64 // power left when the gain of each block is taken out, of B's
	gains  []float64
	peaks  []float64 // of A in each block
	aa, bb []float64 // power by bin
	ab     []complex128
	rate   int

	fft    *fourier.Real
	window []float64 // Hann
}

// leaveOut takes out the windows where both play but not the same, and those within a second
// of it, as long as half of them are left: what was done to a track is what was done to the rest.
func (m *match) leaveOut(differ []Span) {
	var kept []*pair
	for _, w := range m.windows {
		at := float64(w.a.first) / float64(m.plan.rateA)
		if !slices.ContainsFunc(differ, func(s Span) bool {
			return s.In == "both" && at < s.EndS+1 && at+windowLength > s.StartS-1
		}) {
			kept = append(kept, w)
		}
	}
	if 2*len(kept) >= len(m.windows) {
		m.windows = kept
	}
}

// relate lays the windows on each other.
func (m *match) relate() *relation {
	r := &relation{rate: m.plan.rateA, aa: make([]float64, transform/2+1), bb: make([]float64, transform/2+1), ab: make([]complex128, transform/2+1),
		fft: fourier.NewReal(transform), window: make([]float64, transform)}
	for i := range r.window {
		r.window[i] = dsp.Hann(float64(i)+0.5, transform)
	}
	left, power := 0.0, 0.0
	for _, w := range m.windows {
		a, b := w.a.x, w.beside(m.plan.rateA, m.plan.rateB, m.offset+m.speed*float64(w.a.first))
		if len(a) != len(b) {
			a, b = [][]float32{single(mid(a))}, [][]float32{single(mid(b))}
		}
		l, p := r.blocks(a, b)
		left, power = left+l, power+p
		for c := range a {
			r.spectra(a[c], b[c])
		}
	}
	if power > 0 {
		r.follow = left / power
	}
	return r
}

func single(x []float64) []float32 {
	out := make([]float32, len(x))
	for i, v := range x {
		out[i] = float32(v)
	}
	return out
}

// blocks adds the gain of each block, and to what is left behind it.
func (r *relation) blocks(a, b [][]float32) (left, power float64) {
	n := int(block * float64(r.rate))
	for from := 0; from+n <= len(a[0]); from += n {
		var s sums
		peak := 0.0
		for c := range a {
			for i := from; i < from+n; i++ {
				s.add(float64(a[c][i]), float64(b[c][i]))
				peak = math.Max(peak, math.Abs(float64(a[c][i])))
			}
		}
		r.total.aa, r.total.bb, r.total.ab = r.total.aa+s.aa, r.total.bb+s.bb, r.total.ab+s.ab
		power += s.bb
		if s.aa > 0 && s.bb > 0 {
			left += s.bb * s.left()
			r.gains, r.peaks = append(r.gains, s.gain()), append(r.peaks, peak)
		}
	}
	return left, power
}

// spectra adds to the powers by bin (P. D. Welch, IEEE Trans. Audio Electroacoustics 15, 1967).
func (r *relation) spectra(a, b []float32) {
	x, y := make([]float64, transform), make([]float64, transform)
	fx, fy := make([]complex128, transform/2+1), make([]complex128, transform/2+1)
	for from := 0; from+transform <= len(a); from += transform / 2 {
		for i, w := range r.window {
			x[i], y[i] = w*float64(a[from+i]), w*float64(b[from+i])
		}
		r.fft.Do(fx, x)
		r.fft.Do(fy, y)
		for i := range fx {
			r.aa[i] += real(fx[i])*real(fx[i]) + imag(fx[i])*imag(fx[i])
			r.bb[i] += real(fy[i])*real(fy[i]) + imag(fy[i])*imag(fy[i])
			r.ab[i] += fy[i] * cmplx.Conj(fx[i])
		}
	}
}

// third is what happened in a third octave.
type third struct {
	change    float64 // dB, B over A
	coherence float64 // 0 to 1: how much of B follows A there
	weight    float64 // power of A
}

// thirds are the third octaves of spectrum; those below two bins are NaN.
func (r *relation) thirds() []third {
	out := make([]third, spectrum.Bands)
	bin := float64(r.rate) / transform
	for k := range out {
		lo, hi := spectrum.Edges(k)
		var aa, bb, ab float64
		n := 0
		for i := max(1, int(math.Ceil(lo/bin))); float64(i)*bin < hi && i < len(r.aa); i++ {
			aa, bb = aa+r.aa[i], bb+r.bb[i]
			if r.aa[i] > 0 {
				ab += real(r.ab[i]*cmplx.Conj(r.ab[i])) / r.aa[i] // power of B that follows A, bin by bin
			}
			n++
		}
		out[k] = third{math.NaN(), math.NaN(), aa}
		if n > 0 && aa > 0 && bb > 0 {
			out[k] = third{10 * math.Log10(bb/aa), math.Min(1, ab/bb), aa}
		}
	}
	return out
}

// into writes what the windows say.
func (m *match) into(r *Result, a, b *outline) {
	rel := m.relate()
	m.relation = rel
	m.offset += 0 // no -0
	r.OffsetSamples = detect.Value(m.offset)
	r.OffsetS = detect.Value(m.offset / float64(m.plan.rateA))
	r.SpeedPercent = detect.Value(0)
	if m.speed != 0 {
		r.SpeedPercent = detect.Value(-100 * m.speed)
	}
	off := float64(r.OffsetS)
	r.OverlapS = detect.Value(math.Min(a.seconds(), b.seconds()-off) - math.Max(0, -off))
	if rel.total.aa == 0 || rel.total.bb == 0 || rel.total.ab == 0 {
		return
	}
	r.Inverted = rel.total.ab < 0
	r.GainDB = detect.Value(rel.gainDB())
	r.ResidualDB = detect.Value(math.Max(leastResidual, 10*math.Log10(rel.total.left())))
	r.ReductionDB = detect.Value(rel.reduction())
	for k, t := range rel.thirds() {
		r.CentreHz = append(r.CentreHz, spectrum.Centres[k])
		v := detect.None
		if !math.IsNaN(t.change) {
			v = detect.Value(t.change) - r.GainDB
		}
		r.ChangeDB = append(r.ChangeDB, v)
	}
}

// leastResidual in dB: below the noise of 24 bit it is none.
const leastResidual = -150
