package tempo

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

// meanSeconds is the span of the moving mean that is taken from the onset
// curve: half a second, about a beat, so that loud passages do not weigh more.
const meanSeconds = 0.5

// detrend subtracts the moving mean and keeps what stands above it, in place.
func detrend(x []float64, half int) {
	was := make([]float64, half+1) // the values up to here that were replaced
	sum := 0.0
	lo, hi := 0, 0
	for i := range x {
		for ; hi < min(len(x), i+half+1); hi++ {
			sum += x[hi]
		}
		for ; lo < i-half; lo++ {
			sum -= was[lo%len(was)]
		}
		was[i%len(was)] = x[i]
		x[i] = max(0, x[i]-sum/float64(hi-lo))
	}
}

// periodicity holds the Fourier transform and the autocorrelation of a curve.
type periodicity struct {
	step  float64 // seconds a value
	width float64 // hertz a bin
	mag   []float64
	auto  []float64 // by lag in steps, 1 at lag 0
}

// longestCurve is the most values that are transformed at once, 12 minutes or more: a set
// of hours is taken in parts of equal length, whose powers are added, so that memory does
// not grow with it. A tempo that moves in it blurs no more than in the parts.
const longestCurve = 1 << 17

func newPeriodicity(x []float64, step float64) *periodicity {
	parts := (len(x) + longestCurve - 1) / longestCurve
	long := len(x)
	if parts > 1 {
		long /= parts
	}
	n := 2
	for n < 2*long {
		n *= 2
	}
	mean := 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	fft := fourier.NewReal(n)
	padded, c, power := make([]float64, n), make([]complex128, n/2+1), make([]float64, n/2+1)
	for part := range max(1, parts) {
		for i, v := range x[part*long : (part+1)*long] {
			padded[i] = v - mean
		}
		fft.Do(c, padded)
		for i, v := range c {
			power[i] += real(v)*real(v) + imag(v)*imag(v)
		}
	}
	p := &periodicity{step: step, width: 1 / (float64(n) * step), mag: make([]float64, len(c)), auto: make([]float64, long)}
	for i, v := range power {
		p.mag[i] = math.Sqrt(v)
	}
	fft.Autocorrelation(p.auto, power)
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
// from track to track, and so wide that at 64 or 256 BPM it still is 0.54.
const (
	priorBPM     = 128
	priorOctaves = 0.9
)

// w(bpm) = exp(-1/2 (log2(bpm/128) / 0.9)^2)
func prior(bpm float64) float64 {
	d := math.Log2(bpm/priorBPM) / priorOctaves
	return math.Exp(-d * d / 2)
}

const (
	// searchStep is the step of the search in beats per minute; what it finds is
	// refined later.
	searchStep = 0.02
	// lagWeight is the weight of the autocorrelation against the Fourier
	// transform: the first knows 3:2 from 2:1 by the bar, the second finds the beat.
	lagWeight = 1.5
	// tripleWeight is that of triplets against eighths and sixteenths, which are
	// more common.
	tripleWeight = 0.9
)

// found is the outcome of the search.
type found struct {
	bpm         float64
	alternative float64 // as a factor
	margin      float64 // how far the next level's score lies below, 0 to 1
}

// fourierSum is the strength of a beat with its eighths and sixteenths, or
// with triplets, where the beat itself stands out against the dotted one that
// shares them:
//
//	|X(f)| + max(|X(2f)| + |X(4f)|, 0.9 (|X(3f)| + |X(6f)|))
func (p *periodicity) fourierSum(hz float64) float64 {
	one := p.fourier(hz)
	duple := p.fourier(2*hz) + p.fourier(4*hz)
	if one < p.fourier(1.5*hz) {
		return one + duple
	}
	return one + max(duple, tripleWeight*(p.fourier(3*hz)+p.fourier(6*hz)))
}

// lagSum is the autocorrelation at one, two, four and eight beats.
func (p *periodicity) lagSum(hz float64) float64 {
	return p.lag(1/hz) + p.lag(2/hz) + p.lag(4/hz) + p.lag(8/hz)
}

// ratios are those at which the same music may be counted.
var ratios = []float64{0.5, 2, 2. / 3, 1.5, 0.75, 4. / 3}

// search finds the tempo of the greatest score,
//
//	(F(b)/max F + 1.5 A(b)/max A) w(b)
//
// F being fourierSum and A lagSum, and the next best of its levels.
func (p *periodicity) search() found {
	n := int(math.Round((fastest-slowest)/searchStep)) + 1
	f, a := make([]float64, n), make([]float64, n)
	fm, am := 1e-300, 1e-300
	for i := range f {
		hz := (slowest + searchStep*float64(i)) / 60
		f[i], a[i] = p.fourierSum(hz), p.lagSum(hz)
		fm, am = max(fm, f[i]), max(am, a[i])
	}
	out, top := found{}, math.Inf(-1)
	for i := range f {
		bpm := slowest + searchStep*float64(i)
		if s := (f[i]/fm + lagWeight*a[i]/am) * prior(bpm); s > top {
			out.bpm, top = bpm, s
		}
	}
	next := 0.0
	for _, r := range ratios {
		best := 0.0
		for d := -5; d <= 5; d++ {
			bpm := r * (out.bpm + searchStep*float64(d))
			best = max(best, (p.fourierSum(bpm/60)/fm+lagWeight*p.lagSum(bpm/60)/am)*prior(bpm))
		}
		if best > next {
			next, out.alternative = best, r
		}
	}
	out.margin = max(0, 1-next/top)
	return out
}
