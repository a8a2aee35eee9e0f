package spectrum

import "math"

// Bands is the number of third-octave bands.
const Bands = 31

// Centres are the nominal centre frequencies of the bands in hertz (IEC
// 61260-1, annex E). The exact ones are 1000 * 10^(x/10).
var Centres = [Bands]float64{
	20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250,
	1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000, 20000,
}

// lowest is the index x of the first band, counted from 1 kHz.
const lowest = -17

// Exact is the exact centre of band b in hertz, by the base-ten system of IEC
// 61260-1:
//
//	f = 1000 * 10^(x/10)
func Exact(b int) float64 { return edge(b, 0) }

// Edges are the limits of band b in hertz:
//
//	f * 10^(-1/20), f * 10^(1/20)
func Edges(b int) (low, high float64) { return edge(b, -0.5), edge(b, 0.5) }

func edge(b int, shift float64) float64 {
	return 1000 * math.Pow(10, (float64(b+lowest)+shift)/10)
}

// split is the first band that is taken from the short frames; those below
// come from the decimated signal.
const split = 15 // 630 Hz

// Low-end limits in hertz (DESIGN's definitions of sub, bass and low end).
const (
	subFrom = 20.0
	subTo   = 60.0
	bassTo  = 150.0
	aboveTo = 20000.0
	// What lies above the bass passes gradually from layer to layer, so that no
	// tone counts twice: from the deep one to the middle one up to joinTo, where
	// the 200 Hz band begins, from there to the short frames between fadeFrom and
	// fadeTo.
	joinTo   = 177.8
	fadeFrom = 355.0
	fadeTo   = 562.0
)

// sum is a weighted sum of bins.
type sum struct {
	from   int
	weight []float64
}

// newSum weighs each bin by the mean of shape over the part of the bin's width
// that lies in [low, high]; bins are binHz apart, the last one is last.
func newSum(low, high, binHz float64, last int, shape func(hz float64) float64) sum {
	s := sum{from: max(0, int(math.Floor(low/binHz+0.5)))}
	for k := s.from; k <= last; k++ {
		a, b := max(low, (float64(k)-0.5)*binHz), min(high, (float64(k)+0.5)*binHz)
		if a >= b {
			break
		}
		s.weight = append(s.weight, (b-a)/binHz*shape((a+b)/2))
	}
	return s
}

func (s sum) of(bins []float64) float64 {
	total := 0.0
	for i, w := range s.weight {
		total += w * bins[s.from+i]
	}
	return total
}

func flat(float64) float64 { return 1 }

// fade rises from 0 at from to 1 at to, slowly at both ends.
//
//	sin^2(pi/2 (f - from)/(to - from))
func fade(hz, from, to float64) float64 {
	s := math.Sin(math.Pi / 2 * min(1, max(0, (hz-from)/(to-from))))
	return s * s
}
