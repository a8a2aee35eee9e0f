package transfer

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/reason"
)

// sixteenths are times of notes of a bar's pattern at a tempo, with what a player adds.
func sixteenths(bpm, seconds float64, add func(at float64, k int) float64) (out []float64) {
	step := 60 / bpm / 4
	for k := 0; float64(k)*step < seconds; k++ {
		if k%16 == 3 || k%16 == 9 || k%16 == 14 { // rests
			continue
		}
		at := 0.2 + float64(k)*step
		out = append(out, at+add(at, k))
	}
	return out
}

// beginsAt are the beginnings of notes, of 12 dB each.
func beginsAt(times []float64, rate float64) *begins {
	b := &begins{}
	for _, t := range times {
		b.found.Append(begin{int32(math.Round(t * rate)), 12})
	}
	return b
}

// A swing of the time is told to 10 % where it stands over what players do; look-alikes
// are not. Expected: 0.57 ms either way are 0.2 % at 33 1/3 turns a minute (2 pi f a).
func TestTimed(t *testing.T) {
	const rate, third = 44100. / 32, 100. / 180
	rng := rand.New(rand.NewPCG(8, 8))
	jitter := func(ms float64) float64 { return ms / 1000 * rng.NormFloat64() }
	sine := func(hz, ms, at float64) float64 { return ms / 1000 * math.Sin(2*math.Pi*hz*at) }
	walk := 0.0
	for _, tt := range []struct {
		name string
		bpm  float64
		add  func(at float64, k int) float64
		want float64 // percent, 0 for none
	}{
		{"a sequencer", 124, func(float64, int) float64 { return jitter(0.3) }, 0},
		{"0.2 % at 33 1/3", 124, func(at float64, _ int) float64 { return jitter(0.3) + sine(third, 0.573, at) }, 0.2},
		{"1 % at 33 1/3, by players", 92, func(at float64, _ int) float64 { return jitter(3) + sine(third, 2.865, at) }, 1},
		{"0.3 % at 45", 124, func(at float64, _ int) float64 { return jitter(0.3) + sine(0.75, 0.637, at) }, 0.3},
		{"0.13 % at 33 1/3", 124, func(at float64, _ int) float64 { return jitter(0.1) + sine(third, 0.37, at) }, 0},
		{"another speed", 124, func(at float64, _ int) float64 { return jitter(0.3) + sine(0.63, 1, at) }, 0},
		{"players alone", 92, func(float64, int) float64 { return jitter(4) }, 0},
		{"a groove of a bar as long as a turn", 400. / 3, func(at float64, k int) float64 {
			return jitter(0.3) + 0.004*float64(k%2) + 0.002*math.Sin(2*math.Pi*float64(k)/16)
		}, 0},
		{"a groove of four bars, three of them a turn", 1600. / 9, func(at float64, k int) float64 {
			return jitter(1.2) + 0.00047*math.Sin(2*math.Pi*3*float64(k)/64)
		}, 0},
		{"a rhythm of five beats, its second harmonic near 45 turns", 112.5, func(_ float64, k int) float64 {
			return jitter(0.8) + 0.005*[...]float64{0, 1, 1, 0, 0}[k/4%5]
		}, 0},
		{"a tempo that drifts", 110, func(float64, int) float64 { walk += jitter(0.15); return walk }, 0},
		{"a tempo that is 0.04 % off", 124, func(at float64, _ int) float64 { return at*0.0004 + jitter(0.3) + sine(third, 0.573, at) }, 0.2},
	} {
		got := beginsAt(sixteenths(tt.bpm, 180, tt.add), rate).timing(rate, Beat{tt.bpm, 0.9}).swing()
		if math.Abs(got.percent-tt.want) > 0.1*tt.want+1e-9 || tt.want > 0 && (!got.timed || !got.turns) {
			t.Errorf("%s: %+v, want %g %%", tt.name, got, tt.want)
		}
	}
	b := beginsAt(sixteenths(124, 180, func(at float64, _ int) float64 { return sine(third, 0.573, at) }), rate)
	if got := b.timing(rate, Beat{124, clickSure - 0.01}).swing(); got.percent > 0 {
		t.Errorf("with a doubtful beat: %+v", got)
	}
	short := beginsAt(sixteenths(124, 8, func(at float64, _ int) float64 { return sine(third, 2, at) }), rate)
	if got := short.timing(rate, Beat{124, 0.9}).swing(); got.percent > 0 {
		t.Errorf("8 s: %+v", got)
	}
}

// What begins is placed to a third of a cell, the lesser of two near each other is left
// out, and what rises by less than 6 dB does not begin.
func TestBegins(t *testing.T) {
	b := &begins{}
	energy := func(i int) float32 {
		switch {
		case i >= 500 && i < 600, i >= 900 && i < 1000:
			return 1e-2
		case i >= 1200:
			return 3.5e-4 // 5.4 dB over what is before
		}
		return 1e-4
	}
	for i := range 1300 {
		c := []cell{{energy: energy(i)}}
		if i >= 520 && i < 560 {
			c[0].energy *= 6
		}
		b.write(c, []cell{{}})
	}
	got := b.places()
	if len(got) != 3 || math.Abs(got[0]) > 1.5 || math.Abs(got[1]-500) > 1.5 || math.Abs(got[2]-900) > 1.5 || math.Abs(got[2]-got[1]-400) > 0.34 {
		t.Errorf("begins at %v, want 0, 500 and 900", got)
	}
}

// Drums without a held note tell a wow, and notes that waver over drums that don't are no
// record; a timed wow is plain from timeHeard on.
func TestWowOfDrums(t *testing.T) {
	for _, tt := range []struct {
		percent float64
		want    reason.Kind
	}{{0, ""}, {0.2, reason.WowSlight}, {0.6, reason.Wow}} {
		rng := rand.New(rand.NewPCG(4, 9))
		x := [][]float32{make([]float32, 70*plantRate), make([]float32, 70*plantRate)}
		for i := range x[0] {
			s := float64(i) / plantRate
			kick, hat := math.Mod(s, 60/124.), math.Mod(s, 15/124.)
			v := 0.5*math.Min(1, kick/0.001)*math.Exp(-kick/0.07)*math.Sin(2*math.Pi*55*kick) + 0.1*math.Exp(-hat/0.02)*rng.NormFloat64()
			x[0][i], x[1][i] = float32(v), float32(v)
		}
		if tt.percent > 0 {
			x = plantWow(x, tt.percent, 100./180)
		}
		m := listen(x)
		var got reason.Kind
		for _, f := range m.Result(Beat{124, 0.9}) {
			if f.Kind == reason.Wow || f.Kind == reason.WowSlight {
				got = f.Kind
				if math.Abs(f.Figure-tt.percent) > 0.15*tt.percent {
					t.Errorf("%g %%: %+v", tt.percent, f)
				}
			}
		}
		if got != tt.want {
			t.Errorf("%g %%: %q, want %q", tt.percent, got, tt.want)
		}
		if least := m.LeastWow(Beat{124, 0.9}); least > 0.2 || least < 0.08 {
			t.Errorf("a sequencer shows %g %% and more", least)
		}
	}
}
