package advice

import (
	"math"

	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// shape is one filter of an equaliser: a shelf of slope 1 or a bell.
type shape struct {
	filter reason.Filter
	dB     float64
	octave float64 // log2 of the frequency in hertz
	q      float64 // of a bell
}

func (s shape) hz() float64 { return math.Exp2(s.octave) }

// rate is that of the equaliser that is thought of, in hertz: that of most club music.
const rate = 44100

// warped is where the bilinear transform puts a frequency in hertz.
func warped(hz float64) float64 { return math.Tan(math.Pi * min(hz, 0.49*rate) / rate) }

// at is the gain in dB at a frequency in hertz, by the Audio EQ Cookbook (R.
// Bristow-Johnson; W3C note of 2021): its analogue prototypes through the bilinear
// transform; x being the warped frequency over the filter's own and A = 10^(dB/40):
//
//	low shelf   A^2 ((A - x^2)^2 + 2 A x^2) / ((1 - A x^2)^2 + 2 A x^2)
//	high shelf  A^2 ((1 - A x^2)^2 + 2 A x^2) / ((A - x^2)^2 + 2 A x^2)
//	bell        ((1 - x^2)^2 + (A x/Q)^2) / ((1 - x^2)^2 + (x/(A Q))^2)
func (s shape) at(hz float64) float64 {
	w, t := warped(hz), s.tuned()
	return 10 * math.Log10(t.power(w*w))
}

// tuned is a shape with all that its response needs worked out.
type tuned struct {
	filter reason.Filter
	a      float64 // A, or A^2 for a bell
	middle float64 // 1 over the square of its own warped frequency
	width  float64 // 1/Q^2
	narrow bool
}

func (s shape) tuned() tuned {
	w := warped(s.hz())
	t := tuned{filter: s.filter, a: math.Pow(10, s.dB/40), middle: 1 / (w * w), width: 1 / (s.q * s.q)}
	if s.filter == reason.Bell {
		t.a *= t.a
		t.narrow = s.q >= sharp
	}
	return t
}

// power is the power gain at a warped frequency, of which w2 is the square.
func (t *tuned) power(w2 float64) float64 {
	x2 := w2 * t.middle
	if t.filter == reason.Bell {
		m, n := (1-x2)*(1-x2), x2*t.width
		return (m + n*t.a) / (m + n/t.a)
	}
	below, above := (t.a-x2)*(t.a-x2)+2*t.a*x2, (1-t.a*x2)*(1-t.a*x2)+2*t.a*x2
	if t.filter == reason.HighShelf {
		below, above = above, below
	}
	return t.a * t.a * below / above
}

// points of each third octave: the middles of its thirds, warped and squared.
var points = func() (out [spectrum.Bands][3]float64) {
	third := math.Pow(10, 1.0/30)
	for b := range out {
		for i := range out[b] {
			w := warped(spectrum.Exact(b) * math.Pow(third, float64(i-1)))
			out[b][i] = w * w
		}
	}
	return out
}()

// sharp is the quality from which a bell changes within a third octave by so much that
// its mean over the band is taken.
const sharp = 1.2

// over is the gain in dB over a third octave: the mean power of its thirds for a narrow
// bell, else that of its middle.
func (t *tuned) over(band int) float64 {
	p := &points[band]
	if t.narrow {
		return 10 * math.Log10((t.power(p[0])+t.power(p[1])+t.power(p[2]))/3)
	}
	return 10 * math.Log10(t.power(p[1]))
}

// gains of a shape in some bands, dB, into out.
func (s shape) gains(bands []int, out []float64) []float64 {
	t := s.tuned()
	for i, b := range bands {
		out[i] = t.over(b)
	}
	return out
}

// limits of what is advised: where each filter may lie, in hertz, and how narrow a bell
// may be. Third octaves tell no bell that is narrower than themselves.
//
//	Q of a third octave = 1 / (10^(1/20) - 10^(-1/20)) = 4.3
var limits = [...]struct{ from, to float64 }{
	reason.LowShelf:  {32, 400},
	reason.HighShelf: {1000, 14000},
	reason.Bell:      {40, 14000},
}

const (
	leastQ = 0.5
	mostQ  = 4.3
)

// within brings a shape into what may be advised.
func (s shape) within() shape {
	l := limits[s.filter]
	s.octave = min(math.Log2(l.to), max(math.Log2(l.from), s.octave))
	s.q = min(mostQ, max(leastQ, s.q))
	s.dB = min(reason.MaxAdvice, max(-reason.MaxAdvice, s.dB))
	return s
}
