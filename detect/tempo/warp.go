package tempo

import (
	"math"
	"math/cmplx"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

// A track that does not hold its tempo is unbent first: its relative tempo is
// followed along a Fourier tempogram (Grosche and Mueller, "Extracting
// predominant local pulse information from music recordings", IEEE TASLP 19(6),
// 2011), and its onset curve resampled to a steady one.
const (
	// windowSeconds and windowHop are the tempogram's, in seconds: long enough
	// to see 0.1 % at sixteenths, short enough for a tempo that moves.
	windowSeconds = 8
	windowHop     = 2
	// windowsMost bounds their number: in a track of more than 68 minutes they lie farther
	// apart.
	windowsMost = 1 << 11
	// bendRange is how far, as a fraction, the tempo is followed from where it
	// mostly is; bendStep is the resolution of the path.
	bendRange = 0.06
	bendStep  = 0.001
	// stepCost is the loss, relative to a full window, of a path that moves by
	// one bendStep between windows; jumpCost that of any jump.
	stepCost = 0.01
	jumpCost = 0.25
)

// tempogram is the magnitude spectrum of windows of a curve.
type tempogram struct {
	mag   [][]float64
	width float64 // hertz a bin
	step  float64 // seconds a value of the curve
	hop   int     // values between windows
	size  int     // values of a window
}

func newTempogram(x []float64, step float64) *tempogram {
	g := &tempogram{step: step, hop: int(windowHop / step), size: int(windowSeconds / step)}
	g.size = min(g.size, len(x))
	g.hop = max(g.hop, (len(x)+windowsMost-1)/windowsMost)
	n := 2
	for n < 2*g.size {
		n *= 2
	}
	g.width = 1 / (float64(n) * step)
	fft := fourier.NewReal(n)
	padded, c := make([]float64, n), make([]complex128, n/2+1)
	for from := 0; from+g.size <= len(x); from += g.hop {
		mean := 0.0
		for _, v := range x[from : from+g.size] {
			mean += v / float64(g.size)
		}
		for i, v := range x[from : from+g.size] {
			padded[i] = (v - mean) * dsp.Hann(float64(i)+0.5, float64(g.size))
		}
		fft.Do(c, padded)
		mag := make([]float64, int(30/g.width)+2)
		for i := range mag {
			mag[i] = cmplx.Abs(c[i])
		}
		g.mag = append(g.mag, mag)
	}
	return g
}

// periodicity is the mean of the windows: magnitudes and autocorrelation.
func (g *tempogram) periodicity() *periodicity {
	n := int(math.Round(1 / (g.width * g.step)))
	p := &periodicity{step: g.step, width: g.width, mag: make([]float64, n/2+1), auto: make([]float64, n/2)}
	power := make([]float64, n/2+1)
	for _, mag := range g.mag {
		for i, v := range mag {
			p.mag[i] += v
			power[i] += v * v
		}
	}
	fourier.NewReal(n).Autocorrelation(p.auto, power)
	scale := 1 / max(p.auto[0], 1e-300)
	for i := range p.auto {
		p.auto[i] *= scale
	}
	return p
}

// bendSteps is how many steps of bendStep a path may lie either way.
const bendSteps = int(bendRange / bendStep)

// strengths gives the strength of each relative tempo in each window, and the greatest,
// and lets go of the windows:
//
//	strength(w, r) = sum over k of |X(w, k hz (1+r))|
func (g *tempogram) strengths(hz float64) (strength [][]float64, top float64) {
	strength = make([][]float64, len(g.mag))
	top = 1e-300
	for w, mag := range g.mag {
		strength[w] = make([]float64, 2*bendSteps+1)
		for s := range strength[w] {
			f := hz * (1 + float64(s-bendSteps)*bendStep)
			for k := 1; k <= harmonics; k++ {
				strength[w][s] += at(mag, f*float64(k)/g.width)
			}
			top = max(top, strength[w][s])
		}
		g.mag[w] = nil
	}
	return strength, top
}

// path is the relative tempo of each window against hz, as a fraction: the one of greatest
// strength, less the cost of its moves, by dynamic programming.
func (g *tempogram) path(hz float64) []float64 {
	const states = 2*bendSteps + 1
	strength, top := g.strengths(hz)
	back := make([][]int16, len(g.mag))
	score, next := make([]float64, states), make([]float64, states)
	for w := range g.mag {
		best := largest(score)
		back[w] = make([]int16, states)
		for s := range next {
			from, value := best, score[best]-jumpCost
			for d := -20; d <= 20; d++ {
				if q := s + d; q >= 0 && q < states && score[q]-stepCost*math.Abs(float64(d)) > value {
					from, value = q, score[q]-stepCost*math.Abs(float64(d))
				}
			}
			back[w][s] = int16(from)
			next[s] = value + strength[w][s]/top
		}
		score, next = next, score
	}
	s := largest(score)
	out := make([]float64, len(g.mag))
	for w := len(out) - 1; w >= 0; w-- {
		place := float64(s - bendSteps)
		if s > 0 && s+1 < states {
			place += vertex(strength[w][s-1], strength[w][s], strength[w][s+1])
		}
		out[w] = math.Max(-bendRange, math.Min(bendRange, place*bendStep))
		s = int(back[w][s])
	}
	return out
}

// largest is the first place of the greatest value.
func largest(x []float64) int {
	best := 0
	for i := range x {
		if x[i] > x[best] {
			best = i
		}
	}
	return best
}

// bend maps the time of a track to the time of a steady one. Both are counted
// in values of the curve; steady[i] is where value i goes.
type bend struct {
	steady []float64
}

// newBend integrates the path: 1 + r seconds of steady time go by in a second.
func newBend(n int, path []float64, g *tempogram) *bend {
	b := &bend{steady: make([]float64, n)}
	t := 0.0
	for i := range b.steady {
		b.steady[i] = t
		t += 1 + along(path, (float64(i)-float64(g.size)/2)/float64(g.hop))
	}
	return b
}

// along interpolates x linearly and holds its ends.
func along(x []float64, place float64) float64 {
	if place <= 0 {
		return x[0]
	}
	if place >= float64(len(x)-1) {
		return x[len(x)-1]
	}
	return at(x, place)
}

// apply resamples x to steady time.
func (b *bend) apply(x []float64) []float64 {
	n := len(b.steady)
	out := make([]float64, max(1, int(b.steady[n-1])))
	i := 0
	for j := range out {
		for i+2 < n && b.steady[i+1] < float64(j) {
			i++
		}
		f := (float64(j) - b.steady[i]) / (b.steady[i+1] - b.steady[i])
		out[j] = x[i]*(1-f) + x[i+1]*f
	}
	return out
}

// back maps steady time to the time of the track, both in values.
func (b *bend) back(steady float64) float64 {
	lo, hi := 0, len(b.steady)-1
	if steady <= b.steady[0] || hi == 0 {
		return steady
	}
	if steady >= b.steady[hi] {
		return float64(hi) + steady - b.steady[hi]
	}
	for hi-lo > 1 {
		if m := (lo + hi) / 2; b.steady[m] <= steady {
			lo = m
		} else {
			hi = m
		}
	}
	return float64(lo) + (steady-b.steady[lo])/(b.steady[hi]-b.steady[lo])
}

// trusted is the match a section needs, and the share of the median weight, for
// its shift to count; what lies between is interpolated.
const trusted = 0.5

// correct takes the shifts of the sections out of the bend: what lies late by
// the (smoothed) shift moves forward. period is the beat's, in seconds.
func (b *bend) correct(ss []section, step, period float64) {
	weights := make([]float64, len(ss))
	for i := range ss {
		weights[i] = ss[i].weight
	}
	least := trusted / 2 * dsp.Median(weights)
	var shifts, places []float64
	for i := range ss {
		if ss[i].match < trusted || ss[i].weight < least {
			continue
		}
		d := ss[i].shift
		if n := len(shifts); n > 0 { // the nearest of the beats, not the same one
			d = shifts[n-1] + math.Remainder(d-shifts[n-1], period)
		}
		shifts, places = append(shifts, d), append(places, ss[i].at/step)
	}
	if len(shifts) < 3 {
		return
	}
	smooth := make([]float64, len(shifts))
	for i := range shifts {
		smooth[i] = dsp.Median(shifts[max(0, i-1):min(len(shifts), i+2)]) / step
	}
	j := 0
	for i, t := range b.steady {
		for j+2 < len(places) && places[j+1] < t {
			j++
		}
		f := min(1, max(0, (t-places[j])/(places[j+1]-places[j])))
		b.steady[i] = t - smooth[j]*(1-f) - smooth[j+1]*f
	}
	for i := 1; i < len(b.steady); i++ { // time only runs forward
		b.steady[i] = max(b.steady[i], b.steady[i-1]+0.5)
	}
}
