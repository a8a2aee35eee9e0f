package studio

import (
	"math"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
)

// added is what a defect puts on silence.
func added(t *testing.T, name string) sound.Audio {
	return spoilt(t, sound.New(20*sound.Rate), name)
}

// TestMediumLevels measures what is added to silence: the level that the name
// says, in each channel.
func TestMediumLevels(t *testing.T) {
	for name, want := range map[string]float64{
		"hum 50 Hz -45 dBFS": -45, "hum 60 Hz -55 dBFS": -55, "rumble -35 dBFS": -35, "hiss -65 dBFS": -65,
		"DC 1 %": -40, "DC 0.3 %": 20 * math.Log10(0.003),
	} {
		a := added(t, name)
		for _, x := range [][]float64{a.L, a.R} {
			if got := 10 * math.Log10(mean2(x)); math.Abs(got-want) > 0.01 {
				t.Errorf("%s: %.2f dB, want %.2f", name, got, want)
			}
		}
	}
}

// TestHumHasItsFrequency: the fundamental leads, at the mains' frequency, so that
// its third octave holds 57 % of the power (1 of 1 + 0.5^2 + 0.6^2 + 0.25^2 +
// 0.3^2), less what the analysis leaks.
func TestHumHasItsFrequency(t *testing.T) {
	for name, band := range map[string]int{"hum 50 Hz -45 dBFS": 4, "hum 60 Hz -45 dBFS": 5} {
		thirds := Thirds(added(t, name))
		if got := thirds[band]; math.Abs(got-(-42+10*math.Log10(0.567))) > 0.5 {
			t.Errorf("%s: %.1f dB in its band", name, got)
		}
	}
}

// TestRumbleLiesLow: above 100 Hz, four octave-slopes of 24 dB over its limit, is
// nothing worth mentioning.
func TestRumbleLiesLow(t *testing.T) {
	thirds := Thirds(added(t, "rumble -35 dBFS"))
	if thirds[0]-thirds[7] < 35 {
		t.Errorf("rumble of %.1f dB at 20 Hz and %.1f dB at 100 Hz", thirds[0], thirds[7])
	}
}

// TestVinylClicksAreCounted: isolated sounds of at most 2 ms each, 20 to 200 a
// minute: 7 to 67 in 20 s, fewer starts where two fall together.
func TestVinylClicksAreCounted(t *testing.T) {
	for seed := range uint64(8) {
		w := testWhere
		w.Seed = seed
		a := named(t, "vinyl clicks").Master(sound.New(20*sound.Rate), w)
		starts, since, longest, run := 0, 1<<30, 0, 0
		for i := range a.L {
			if math.Abs(a.L[i])+math.Abs(a.R[i]) > 1e-4 {
				if since > 88 {
					starts, run = starts+1, 0
				}
				since = 0
				longest = max(longest, run)
			}
			since++
			run++
		}
		if starts < 5 || starts > 67 {
			t.Errorf("seed %d: %d clicks in 20 s", seed, starts)
		}
		if longest > 4*sound.Rate/1000*2 {
			t.Errorf("seed %d: a click of %d samples", seed, longest)
		}
	}
}

// TestWowMovesTheSpeed follows the zero crossings of a 1 kHz tone: its frequency
// must swing by the percentage either way, once in 1.8 s.
func TestWowMovesTheSpeed(t *testing.T) {
	a := sound.New(10 * sound.Rate)
	a.Both(func(x []float64) {
		for i := range x {
			x[i] = 0.5 * math.Sin(2*math.Pi*1000*float64(i)/sound.Rate)
		}
	})
	x := spoilt(t, a, "wow 1 %").L[:9*sound.Rate]
	var crossings []float64
	for i := 1; i < len(x); i++ {
		if x[i-1] < 0 && x[i] >= 0 {
			crossings = append(crossings, float64(i-1)-x[i-1]/(x[i]-x[i-1]))
		}
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i := 100; i < len(crossings); i += 50 { // over 0.1 s
		hz := 100 * sound.Rate / (crossings[i] - crossings[i-100])
		low, high = min(low, hz), max(high, hz)
	}
	if math.Abs(high-1010) > 0.7 || math.Abs(low-990) > 0.7 {
		t.Errorf("the tone swings from %.1f to %.1f Hz, want 990 to 1010", low, high)
	}
}

// TestLouderIsLouder: +3 dB by driving the limiter, the ceiling kept.
func TestLouderIsLouder(t *testing.T) {
	a := quiet()
	a.Gain(12)
	b := spoilt(t, a, "gain +3")
	if d := Loudness(b).Integrated - Loudness(a).Integrated; d < 2.5 || d > 4.5 {
		t.Errorf("louder by %.2f LU", d)
	}
	for name, want := range map[string]float64{"gain -3": -3, "gain -6": -6} {
		if d := Loudness(spoilt(t, a, name)).Integrated - Loudness(a).Integrated; math.Abs(d-want) > 0.01 {
			t.Errorf("%s: %.2f LU", name, d)
		}
	}
}
