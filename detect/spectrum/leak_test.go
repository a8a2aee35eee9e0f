package spectrum

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/dsp/fourier"
)

// exactBands are the levels of the lower bands from one transform of the
// whole signal in double precision, padded with as much silence or more.
func exactBands(rate int, x []float32) []float64 {
	n := 1
	for n < 2*len(x) {
		n *= 2
	}
	padded := make([]float64, n)
	for i, v := range x {
		padded[i] = float64(v)
	}
	c := fourier.NewFFT(n).Coefficients(nil, padded)
	levels := make([]float64, split)
	for b := range levels {
		low, high := Edges(b)
		sum := 0.0
		for k := int(math.Ceil(low / float64(rate) * float64(n))); float64(k) < high/float64(rate)*float64(n); k++ {
			sum += real(c[k])*real(c[k]) + imag(c[k])*imag(c[k])
		}
		levels[b] = 10 * math.Log10(2*sum/float64(n)/float64(len(x)))
	}
	return levels
}

// A groove at 124 beats a minute: a note of bass a bar and a kick that glides
// down to 50 Hz a beat.
type groove struct {
	notes  []float64 // Hz, one bar each
	kick   float64   // amplitude
	attack float64   // seconds of rise and fall of each note and kick
}

const beat = 60.0 / 124 // seconds

// played is how many bars a groove has: its notes twice.
const played = 8

// play makes them with a bar of silence at either end.
func (g groove) play(rate int) []float32 {
	x := make([]float32, int((played+2)*4*beat*float64(rate)))
	swell := func(in, length float64) float64 {
		return math.Pow(math.Sin(math.Pi/2*max(0, min(1, in/g.attack, (length-in)/g.attack))), 2)
	}
	for i := range x {
		at := float64(i)/float64(rate) - 4*beat
		if at < 0 || at >= played*4*beat {
			continue
		}
		in := math.Mod(at, beat)
		v := g.kick * math.Exp(-9*in) * math.Sin(2*math.Pi*(50*in+2.5*(1-math.Exp(-40*in)))) * swell(in, beat)
		hz := g.notes[int(at/(4*beat))%len(g.notes)]
		v += 0.4 * math.Sin(2*math.Pi*hz*at) * swell(math.Mod(at, 4*beat), 4*beat)
		x[i] = float32(v)
	}
	return x
}

// grooves have their bass in the bands of 31.5 to 50 Hz, at notes of the
// equal-tempered scale.
var grooves = []groove{
	{[]float64{30.87, 32.70, 36.71, 41.20}, 0.5, 0.06},
	{[]float64{32.70, 36.71, 41.20, 49.00}, 0.5, 0.06},
	{[]float64{32.70, 34.65, 38.89, 46.25}, 0.5, 0.1},
	{[]float64{36.71, 41.20, 49.00, 43.65}, 0.5, 0.15},
	{[]float64{30.87, 32.70, 36.71, 41.20}, 0, 0.2},
	{[]float64{32.70}, 0.3, 0.2},
	{[]float64{49.00}, 0.6, 0.1},
	{[]float64{31.5, 40, 50}, 0.6, 0.03},
}

// What leaks into the bands beside loud ones: no band from 20 to 80 Hz within
// 35 dB of the loudest reads 1 dB wrong. The exact levels come from a sixteenth of the
// rate, as all that a groove has lies below 200 Hz.
func TestLeakage(t *testing.T) {
	const tolerance, deepest = 1.0, 35.0 // dB
	for _, rate := range []int{44100, 48000} {
		for _, g := range grooves {
			want, got := exactBands(rate/16, g.play(rate/16)), write(New(rate, 1), g.play(rate)).Whole()
			loudest := max(want[2], want[3], want[4])
			for b, w := range want[:7] {
				t.Logf("%v, %d Hz, band %g: %.1f dB down, read %+.2f", g, rate, Centres[b], loudest-w, got[b]-w)
				if w > loudest-deepest {
					near(t, fmt.Sprintf("%v at %d Hz, band %g, %.1f dB down", g, rate, Centres[b], loudest-w), got[b], w, tolerance)
				}
			}
		}
	}
}

// The opposite case: what is there stays. A tone of 22 Hz 20 dB below one of
// 50 Hz, and below a groove without anything else that low, is read as it is.
func TestRealSubBesideLoudBass(t *testing.T) {
	const tolerance = 0.5 // dB; 22 Hz is 0.39 Hz from the limit, where class 1 allows 5
	for _, rate := range []int{44100, 48000} {
		loud := sine(rate, 30, 50, 0.5)
		for i, v := range sine(rate, 30, 22, 0.05) {
			loud[i] += v
		}
		got := write(New(rate, 1), loud).Whole()
		near(t, "50 Hz", got[4], -9.03, 0.05)
		near(t, "22 Hz beside 50 Hz", got[0], -29.03, tolerance)
		x := grooves[3].play(rate)
		for i, v := range sine(rate, float64(len(x))/float64(rate), 22, 0.05) {
			x[i] += v
		}
		near(t, "22 Hz below a groove", write(New(rate, 1), x).Whole()[0], -29.03, tolerance)
	}
}

// One hertz outside its limits a band is 37 dB down, so that what is 30 dB
// louder there adds less than 1 dB to it.
func TestSkirts(t *testing.T) {
	const least = 37.0
	for _, rate := range []int{44100, 48000, 96000} {
		for b := range deepSplit {
			low, high := Edges(b)
			for _, hz := range []float64{low - 1, high + 1} {
				if got := attenuations(rate, hz)[b]; got < least {
					t.Errorf("band %g at %d Hz, sine of %.2f Hz: %.1f dB down", Centres[b], rate, hz, got)
				}
			}
		}
	}
}
