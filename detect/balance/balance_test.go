package balance

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/spectrum"
)

const rate = 44100

// part is seconds of sines, each of an amplitude.
func part(seconds float64, hz ...[2]float64) []float32 {
	x := make([]float32, int(seconds*rate))
	for i := range x {
		for _, s := range hz {
			x[i] += float32(s[1] * math.Sin(2*math.Pi*s[0]*float64(i)/rate))
		}
	}
	return x
}

func measure(parts ...[]float32) Result {
	m := spectrum.New(rate, 2)
	for _, x := range parts {
		for len(x) > 0 {
			n := min(4096, len(x))
			m.Write([][]float32{x[:n], x[:n]})
			x = x[n:]
		}
	}
	return Of(m)
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.2f, want %.2f", what, got, want)
	}
}

// loud is the K-weighted level of sines in dB: gains at the centres of their bands by
// BS.1770-5 annex 1, computed here from its tables 1 and 2 by hand for the bands in use:
// 50 Hz -4.0 dB (below the 0.7 dB of 1 kHz by 4.62), 100 Hz -1.1, 1 kHz +0.7, 3.15 kHz
// +3.8, 8 kHz +4.0, 12.5 kHz +4.0 (the published table of K re 1 kHz plus 0.698).
func loud(levels map[float64]float64) float64 {
	k := map[float64]float64{50: -4.62 + 0.698, 100: -1.83 + 0.698, 315: -0.77 + 0.698, 1000: 0.698, 3150: 3.15 + 0.698, 8000: 3.34 + 0.698, 12500: 3.35 + 0.698}
	sum := 0.0
	for hz, dB := range levels {
		sum += math.Pow(10, (dB+k[hz])/10)
	}
	return 10 * math.Log10(sum)
}

// A sine in the middle of each band: every figure is its level against the loudness.
func TestFigures(t *testing.T) {
	levels := map[float64]float64{50: -12, 100: -14, 315: -20, 1000: -22, 3150: -28, 8000: -32, 12500: -36}
	var sines [][2]float64
	for hz, dB := range levels {
		sines = append(sines, [2]float64{hz, math.Pow(10, dB/20)}) // both channels: 0 dB is a full sine in both
	}
	r := measure(part(40, sines...))
	l := loud(levels)
	low := 10 * math.Log10(math.Pow(10, -1.2)+math.Pow(10, -1.4))
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"low", r.Low, low - l}, {"low mids", r.LowMid, -20 - l}, {"mids", r.Mid, -22 - l}, {"presence", r.Presence, -28 - l},
		{"treble", r.Treble, -32 - l}, {"air", r.Air, -36 - l}, {"sub over bass", r.SubShare, 2},
	} {
		near(t, c.what, c.got, c.want, 0.1)
	}
}

// A sine in the middle of each third octave that stands by itself; all are far below what
// makes the loudness.
func TestThirds(t *testing.T) {
	hz := []float64{63.1, 79.4, 125.9, 158.5, 6310, 7943, 10000, 12589}
	sines := [][2]float64{{1000, 1}}
	for i, f := range hz {
		sines = append(sines, [2]float64{f, math.Pow(10, -(40+float64(i))/20)})
	}
	r := measure(part(40, sines...))
	for i, got := range r.Thirds {
		near(t, "third octave", got, -40-float64(i)-0.698, 0.15) // the weighting of 1 kHz
	}
}

// A level that is wrong as a whole changes nothing.
func TestLevelChangesNothing(t *testing.T) {
	sines := [][2]float64{{50, 0.2}, {315, 0.1}, {1000, 0.1}, {3150, 0.05}, {8000, 0.02}, {12500, 0.01}}
	a := measure(part(35, sines...))
	for i := range sines {
		sines[i][1] *= 0.25
	}
	b := measure(part(35, sines...))
	near(t, "low", a.Low, b.Low, 0.01)
	near(t, "air", a.Air, b.Air, 0.01)
}

// The low end is that of the heaviest window within 1 LU of the loudest; one that is
// quieter than that does not count, however heavy.
func TestHeaviestWindow(t *testing.T) {
	lead := part(40, [2]float64{50, 0.2}, [2]float64{1000, 0.5})
	drop := part(40, [2]float64{50, 0.4}, [2]float64{1000, 0.45}, [2]float64{8000, 0.1}, [2]float64{126, 0.05}) // nearly as loud, 6 dB heavier
	quiet := part(40, [2]float64{50, 0.2}, [2]float64{1000, 0.02})                                              // far quieter, and all bass
	alone, both, withQuiet := measure(lead), measure(lead, drop), measure(lead, quiet)
	if both.Low < alone.Low+5 {
		t.Errorf("low end %.1f dB with a heavy drop, %.1f without", both.Low, alone.Low)
	}
	// Of the third octaves the low ones are of that window, the others means over all.
	whole := measure(drop)
	near(t, "125 Hz", both.Thirds[2], whole.Thirds[2], 0.3)
	if top := both.Thirds[5]; top > whole.Thirds[5]-3 || top < alone.Thirds[5]+3 {
		t.Errorf("8 kHz: %.1f dB, %.1f and %.1f alone", top, alone.Thirds[5], whole.Thirds[5])
	}
	if withQuiet.Low > alone.Low+1.5 { // windows that reach into it lose at most 1 LU of the lead
		t.Errorf("low end %.1f dB with a heavy part that is quiet, %.1f without", withQuiet.Low, alone.Low)
	}
}

func TestWhatDoesNotExist(t *testing.T) {
	for name, r := range map[string]Result{"nothing": measure(), "silence": measure(make([]float32, 40*rate))} {
		for _, v := range append(r.Thirds[:], r.Low, r.LowMid, r.Mid, r.Presence, r.Treble, r.Air, r.SubShare) {
			if !math.IsNaN(v) {
				t.Errorf("%s: %v", name, r)
				break
			}
		}
	}
	if r := measure(part(3, [2]float64{1000, 0.5}, [2]float64{50, 0.5})); math.IsNaN(r.Low) || math.IsNaN(r.Mid) {
		t.Errorf("a track of three seconds has no balance: %v", r)
	}
	// A sub alone is as far off as it gets.
	near(t, "sub alone", measure(part(35, [2]float64{40, 0.5}, [2]float64{1000, 0.1})).SubShare, mostShareDB, 0)
}

func BenchmarkBalance(b *testing.B) {
	m := spectrum.New(rate, 2)
	r := rand.New(rand.NewPCG(1, 2))
	x := make([]float32, 4096)
	for range 360 * rate / len(x) {
		for i := range x {
			x[i] = float32(r.NormFloat64()) / 8
		}
		m.Write([][]float32{x, x})
	}
	for b.Loop() {
		Of(m)
	}
}
