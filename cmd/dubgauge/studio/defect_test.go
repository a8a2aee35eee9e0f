package studio

import (
	"math"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect/spectrum"
)

// quiet is white noise of different samples in the channels, 20 s, low enough
// that no ceiling is met.
func quiet() sound.Audio {
	r := source("test", 1, "noise")
	a := sound.New(20 * sound.Rate)
	a.Both(func(x []float64) {
		for i := range x {
			x[i] = 0.05 * (2*r.Float64() - 1)
		}
	})
	return a
}

var testWhere = Where{Seed: 3, Bar: 2, From: 4, To: 16}

// named finds a defect.
func named(t *testing.T, name string) Defect {
	t.Helper()
	for _, d := range Defects() {
		if d.Name == name {
			return d
		}
	}
	t.Fatalf("no defect is called %q", name)
	return Defect{}
}

// spoilt runs a defect of the master on a copy.
func spoilt(t *testing.T, a sound.Audio, name string) sound.Audio {
	t.Helper()
	return named(t, name).Master(a.Clone(), testWhere)
}

// TestShapesHaveTheirResponse measures each equaliser by third octave. Expected:
// a shelf's gain far on its side, half of it (in dB) at its corner, nothing on the
// other side; a bell's gain in its middle (Audio EQ Cookbook). Noise of 20 s
// leaves a third octave at 31.5 Hz uncertain by 0.4 dB, but both sides are the
// same noise; 0.5 dB are for the bands' width.
func TestShapesHaveTheirResponse(t *testing.T) {
	clean := quiet()
	before := Thirds(clean)
	at := func(hz float64) int { return 17 + int(math.Round(10*math.Log10(hz/1000))) }
	for _, c := range []struct {
		name string
		want map[float64]float64
	}{
		{"low shelf 100 Hz -6", map[float64]float64{25: -6, 100: -3, 1000: 0}},
		{"low shelf 100 Hz +4", map[float64]float64{25: 4, 100: 2, 1000: 0}},
		{"low shelf 60 Hz +6", map[float64]float64{20: 6, 63: 2.8, 500: 0}},
		{"high shelf 8 kHz -8", map[float64]float64{500: 0, 8000: -4, 20000: -7.8}},
		{"high shelf 8 kHz +4", map[float64]float64{500: 0, 8000: 2, 20000: 3.9}},
		{"presence 3.5 kHz +5", map[float64]float64{100: 0, 3150: 4.9, 4000: 4.9}},
		{"mids 350 Hz -6", map[float64]float64{20: 0, 315: -5.9, 400: -5.9, 8000: 0}},
		{"dull tilt", map[float64]float64{100: 0, 1250: -2.6, 12500: -5}},
	} {
		for _, place := range []string{" (mix)", " (master)"} {
			d, a := named(t, c.name+place), clean.Clone()
			if d.Mix != nil {
				d.Mix(a)
			} else {
				a = d.Master(a, testWhere)
			}
			after := Thirds(a)
			for hz, want := range c.want {
				if got := after[at(hz)] - before[at(hz)]; math.Abs(got-want) > 0.5 {
					t.Errorf("%s%s at %g Hz: %+.2f dB, want %+.1f", c.name, place, spectrum.Exact(at(hz)), got, want)
				}
			}
		}
	}
}

// zeros counts the longest run of samples that are nought in both channels.
func zeros(x []float64) (longest int) {
	run := 0
	for _, v := range x {
		if run++; v != 0 {
			run = 0
		}
		longest = max(longest, run)
	}
	return longest
}

// TestHolesAreZeros: so many seconds, in both channels, nothing else changed.
func TestHolesAreZeros(t *testing.T) {
	a := quiet()
	for name, seconds := range map[string]float64{"hole 0.02 s": 0.02, "hole 0.3 s": 0.3, "hole 8 s": 8} {
		b := spoilt(t, a, name)
		changed := 0
		for i := range a.L {
			if a.L[i] != b.L[i] {
				changed++
			}
		}
		if want := int(seconds * sound.Rate); zeros(b.L) != want || zeros(b.R) != want || changed != want {
			t.Errorf("%s: %d and %d zeros, %d changed, want %d", name, zeros(b.L), zeros(b.R), changed, want)
		}
	}
}

// TestChannelDefects checks each by what it does to samples.
func TestChannelDefects(t *testing.T) {
	a := quiet()
	n, mid := a.Len(), testWhere.middle()
	if b := spoilt(t, a, "channel dead 8 s"); zeros(b.R) != 8*sound.Rate || zeros(b.L) > 2 {
		t.Errorf("dead for %d samples", zeros(b.R))
	}
	if b := spoilt(t, a, "channel dead from the middle"); zeros(b.L) != n-mid {
		t.Errorf("dead for %d samples, want %d", zeros(b.L), n-mid)
	}
	if b := spoilt(t, a, "channel 20 samples late"); b.R[1020] != a.R[1000] || b.L[1000] != a.L[1000] {
		t.Error("the right channel is not 20 samples late")
	}
	if b := spoilt(t, a, "channels swapped for 8 s"); b.R[mid+5] != a.L[mid+5] || b.L[mid+5] != a.R[mid+5] || b.L[mid-1] != a.L[mid-1] {
		t.Error("the channels are not swapped for a part")
	}
	if b := spoilt(t, a, "polarity flipped for 8 s"); b.R[mid+5] != -a.R[mid+5] || b.R[mid-1] != a.R[mid-1] || b.L[mid] != a.L[mid] {
		t.Error("the right channel is not upside down for a part")
	}
	b := spoilt(t, a, "channel -3 dB")
	if got := 10 * math.Log10(mean2(b.R)/mean2(a.R)); math.Abs(got+3) > 1e-6 {
		t.Errorf("the right channel is %.3f dB", got)
	}
}

func mean2(x []float64) float64 { return sound.Audio{L: x}.Power() }

// TestLengths: what repeats grows, what skips or is cut shrinks, by the amounts
// that the definitions say.
func TestLengths(t *testing.T) {
	a := quiet()
	n := a.Len()
	if d := spoilt(t, a, "repeated piece").Len() - n; d < sound.Rate/10 || d > 2*sound.Rate {
		t.Errorf("repeated %d samples", d)
	}
	d := float64(n-spoilt(t, a, "skipped piece").Len()) / sound.Rate
	if sixteenths := d / testWhere.Bar * 16; math.Abs(sixteenths-math.Round(sixteenths)) < 0.25 {
		t.Errorf("skipped %.2f sixteenths, which is in the beat", sixteenths)
	}
	off := int(0.137 * testWhere.Bar * sound.Rate)
	if got := n - spoilt(t, a, "abrupt start").Len(); got != 4*sound.Rate+off {
		t.Errorf("abrupt start takes %d samples", got)
	}
	if got := spoilt(t, a, "abrupt end").Len(); got != 16*sound.Rate-off {
		t.Errorf("abrupt end after %d samples", got)
	}
	b := spoilt(t, a, "cut fade")
	last := 10 * math.Log10(mean2(b.L[b.Len()-2205:])/mean2(a.L[:2205]))
	if math.Abs(last-20*math.Log10(0.3)) > 0.5 || b.Len() != 16*sound.Rate {
		t.Errorf("the fade is cut at %.1f dB after %d samples, want -10.5", last, b.Len())
	}
}
