package tempo

import (
	"math"
	"math/cmplx"

	"gonum.org/v1/gonum/dsp/fourier"
)

// meanSeconds is the span of the moving mean that is taken from the onset
// curve: half a second, about a beat, so that loud passages do not weigh more.
const meanSeconds = 0.5

// detrend subtracts the moving mean and keeps what stands above it.
func detrend(x []float64, half int) []float64 {
	out := make([]float64, len(x))
	sum := 0.0
	lo, hi := 0, 0
	for i := range x {
		for ; hi < min(len(x), i+half+1); hi++ {
			sum += x[hi]
		}
		for ; lo < i-half; lo++ {
			sum -= x[lo]
		}
		out[i] = max(0, x[i]-sum/float64(hi-lo))
	}
	return out
}

// periodicity holds the Fourier transform and the autocorrelation of a curve.
type periodicity struct {
	step  float64 // seconds a value
	width float64 // hertz a bin
	mag   []float64
	auto  []float64 // by lag in steps, 1 at lag 0
}

func newPeriodicity(x []float64, step float64) *periodicity {
	n := 1
	for n < 2*len(x) {
		n *= 2
	}
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	padded := make([]float64, n)
	for i, v := range x {
		padded[i] = v - mean
	}
	fft := fourier.NewFFT(n)
	c := fft.Coefficients(nil, padded)
	p := &periodicity{step: step, width: 1 / (float64(n) * step), mag: make([]float64, len(c))}
	for i, v := range c {
		p.mag[i] = cmplx.Abs(v)
		c[i] = complex(p.mag[i]*p.mag[i], 0)
	}
	p.auto = fft.Sequence(padded, c)[:len(x)]
	scale := 1 / max(p.auto[0], 1e-300)
	for i := range p.auto {
		p.auto[i] *= scale
	}
	return p
}

// at interpolates x linearly.
func at(x []float64, place float64) float64 {
	i := int(place)
	if i < 0 || i+1 >= len(x) {
		return 0
	}
	f := place - float64(i)
	return x[i]*(1-f) + x[i+1]*f
}

func (p *periodicity) fourier(hz float64) float64  { return at(p.mag, hz/p.width) }
func (p *periodicity) lag(seconds float64) float64 { return at(p.auto, seconds/p.step) }

// The range of tempi that are looked for, in beats per minute.
const (
	slowest = 60
	fastest = 200
)

// The prior of tempo is log-normal, as Ellis (2007), "Beat tracking by dynamic
// programming", JNMR 36(1), has it, about a middle for the music that is mixed
// from track to track, and wide enough to leave a clear case alone at either
// end of the range.
const (
	priorBPM     = 128
	priorOctaves = 0.6
)

// w(bpm) = exp(-1/2 (log2(bpm/128) / 0.6)^2)
func prior(bpm float64) float64 {
	d := math.Log2(bpm/priorBPM) / priorOctaves
	return math.Exp(-d * d / 2)
}

// found is the outcome of the search.
type found struct {
	bpm         float64
	alternative float64 // as a factor
	score       float64
}

// searchStep is the step of the search in beats per minute.
const searchStep = 0.02

func (p *periodicity) search() found {
	var f, a []float64
	fm, am := 0.0, 0.0
	for bpm := float64(slowest); bpm <= fastest; bpm += searchStep {
		b := bpm / 60
		fv := p.fourier(b) + p.fourier(2*b) + p.fourier(4*b)
		av := p.lag(1/b) + p.lag(2/b) + p.lag(4/b) + p.lag(8/b)
		f, a = append(f, fv), append(a, av)
		fm, am = max(fm, fv), max(am, av)
	}
	score := func(i int) float64 {
		if i < 0 || i >= len(f) {
			return 0
		}
		return (f[i]/fm + 0.5*a[i]/am) * prior(slowest+searchStep*float64(i))
	}
	best := 0
	for i := range f {
		if score(i) > score(best) {
			best = i
		}
	}
	out := found{bpm: slowest + searchStep*float64(best), score: score(best), alternative: 0.5}
	top := 0.0
	for _, r := range []float64{0.5, 2, 2. / 3, 1.5, 0.75, 4. / 3} {
		if s := score(int(math.Round((out.bpm*r - slowest) / searchStep))); s > top {
			top, out.alternative = s, r
		}
	}
	return out
}
