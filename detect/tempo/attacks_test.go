package tempo

import (
	"math"
	"math/rand/v2"
	"testing"
)

// tones sums sines of the given frequencies in hertz, each of the level that level gives.
func tones(seconds float64, hz []float64, level func(k int, t float64) float64) []float32 {
	x := make([]float32, int(seconds*synthRate))
	for i := range x {
		t := float64(i) / synthRate
		for k, f := range hz {
			x[i] += float32(0.1 * level(k, t) * math.Sin(2*math.Pi*f*t+float64(k)))
		}
	}
	return x
}

// wind is low-passed noise whose level moves slowly, with a period of so many seconds.
func wind(seconds, period float64) []float32 {
	rng := rand.New(rand.NewPCG(5, 1))
	x := make([]float32, int(seconds*synthRate))
	y := 0.0
	for i := range x {
		y += 0.02 * (rng.NormFloat64() - y)
		x[i] = float32(y * (1 + 0.7*math.Sin(2*math.Pi*float64(i)/synthRate/period)))
	}
	return x
}

// talk is bursts of noise as syllables have them: four a second on the mean, from 60 to 140 %
// of their mean distance apart.
func talk(seconds float64) []float32 {
	rng := rand.New(rand.NewPCG(6, 1))
	x := make([]float32, int(seconds*synthRate))
	level, next := 0.0, 0
	for i := range x {
		if i == next {
			level = 0.1 + 0.4*rng.Float64()
			next += int((0.15 + 0.2*rng.Float64()) * synthRate)
		}
		level *= 1 - 14.0/synthRate
		x[i] = float32(level * rng.NormFloat64())
	}
	return x
}

// A drone, noise, speech and ambience have no tempo; an arpeggio without drums has.
func TestNoPulse(t *testing.T) {
	still := func(int, float64) float64 { return 1 }
	slow := func(k int, t float64) float64 { return 1 + 0.8*math.Sin(2*math.Pi*t*(0.05+0.03*float64(k))) }
	for name, x := range map[string][]float32{
		"four sines, A3":      tones(40, []float64{220, 277.18, 329.63, 440}, still),
		"four sines, A2":      tones(40, []float64{110, 138.59, 164.81, 220}, still),
		"four sines, A1":      tones(40, []float64{55, 82.4, 110, 164.81}, still),
		"four sines, just":    tones(40, []float64{100, 150, 200, 250}, still),
		"four sines, swaying": tones(40, []float64{110, 165, 220, 331}, slow),
		"low tones that beat": tones(40, []float64{50, 52}, still),
		"three of them":       tones(40, []float64{50, 52, 54}, still),
		"four of them":        tones(40, []float64{60, 62, 64, 66}, still),
		"detuned overtones":   tones(40, []float64{49, 51.2, 98, 102.4, 147, 153.6, 196, 204.8}, still),
		"a tremolo":           tones(40, []float64{55, 110}, func(_ int, t float64) float64 { return 1 + 0.9*math.Sin(2*math.Pi*3.1*t) }),
		"tones under noise":   under(tones(40, []float64{50, 52}, still), 0.05),
		"wind":                wind(40, 7),
		"speech":              talk(40),
	} {
		if r := measure([][]float32{x, x}, synthRate); !math.IsNaN(r.BPM) || r.Confidence > least {
			t.Errorf("%s: %.2f BPM, confidence %.2f", name, r.BPM, r.Confidence)
		}
	}
	x := song{groove: grooves["arpeggio"], bpm: 127, seconds: 40, seed: 4}.render()
	if r := measure(x, synthRate); r.BPM != 127 || r.Confidence < confident {
		t.Errorf("arpeggio: %.2f BPM, confidence %.2f", r.BPM, r.Confidence)
	}
}

// fallSlow is over how long the envelope falls where its fall is not to count, in seconds.
const fallSlow = 0.2

// pulsing is a reading at 120 BPM whose fine envelope is 1, and 1+step for the second half
// of each beat, which it reaches evenly within so many seconds and leaves within others.
func pulsing(step, within, fall float64) (*reading, *envelope) {
	e := &envelope{step: fineSeconds}
	for i := range int(math.Round(20 / fineSeconds)) {
		in := math.Mod(float64(i)*fineSeconds, 0.5) - 0.25
		e.value = append(e.value, float32(1+step*max(0, min(1, in/within, (0.25-in)/fall))))
	}
	a := &analysis{step: 0.01, total: make([]float64, 2000)}
	return &reading{analysis: a, pulse: pulse{hz: 2}}, e
}

// The rise is held against the mean of the envelope, 1 + step/2: a step of 0.3 is a rise of
// 0.26, one of 0.04 a rise of 0.039, one that takes 0.2 s of 0.033.
func TestAttacks(t *testing.T) {
	for _, c := range []struct{ step, within, want float64 }{
		{0.3, 0.001, 1}, {0.04, 0.001, 0}, {0.3, 0.2, 0},
		{0.0725, 0.001, 0.5}, // a rise of 0.07
	} {
		b, e := pulsing(c.step, c.within, fallSlow)
		if got := b.attacks(e, &envelope{step: 1}); math.Abs(got-c.want) > 0.12 {
			t.Errorf("a step of %.3f within %.3f s: %.3f, want %.3f", c.step, c.within, got, c.want)
		}
	}
	// What falls as it rises is no drum.
	for _, c := range []struct{ fall, want float64 }{{0.008, 0}, {0.01, 0}, {fallSlow, 1}} {
		b, e := pulsing(0.3, 0.01, c.fall)
		if got := b.attacks(e, &envelope{step: 1}); math.Abs(got-c.want) > 0.01 {
			t.Errorf("a fall within %.3f s: %.3f, want %.0f", c.fall, got, c.want)
		}
		// In the bass: of a rise of 0.26 less a fall of 0.04 and less, all; of as steep a fall, nothing.
		if got := b.attacks(&envelope{step: 1}, e); math.Abs(got-c.want) > 0.01 {
			t.Errorf("in the bass, a fall within %.3f s: %.3f, want %.0f", c.fall, got, c.want)
		}
	}
	// In the bass a rise of 0.13 and a fall of 0.02 less is not sure, 0.09 is nothing.
	for _, c := range []struct{ step, least, most float64 }{{0.19, 0.2, 0.8}, {0.09, 0, 0}} {
		b, e := pulsing(c.step, 0.001, fallSlow)
		if got := b.attacks(&envelope{step: 1}, e); got < c.least || got > c.most {
			t.Errorf("a step of %.2f in the bass: %.3f", c.step, got)
		}
	}
	b, e := pulsing(0.3, 0.001, fallSlow)
	clear(e.value)
	if got := b.attacks(e, &envelope{step: 1}); got != 0 {
		t.Errorf("silence: %.3f", got)
	}
}

// A run goes on over the end of the beat.
func TestLongestAbove(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		want int
	}{{[]float64{3, 0, 0, 1, 3, 3}, 3}, {[]float64{0, 3, 0, 2, 2, 0}, 2}, {[]float64{1, 1}, 0}, {[]float64{0, 0, 9, 0}, 1}} {
		if got := longestAbove(c.x); got != c.want {
			t.Errorf("%v: %d, want %d", c.x, got, c.want)
		}
	}
}

// Clicks of 8 ms, which fall as they rise, are struck.
func TestClicksArePulse(t *testing.T) {
	for _, v := range []voice{click, rim, hat} {
		for _, p := range []string{"x...x...x...x...", "x.x.x.x.x.x.x.x.", "x..xx.x.x..xx.x."} {
			r := measure(song{groove: groove{v: p}, bpm: 125, seconds: 20, seed: 3}.render(), synthRate)
			if !(octave(r.BPM, 125) <= bpmTolerance) {
				t.Errorf("%d, %s: %.2f BPM", v, p, r.BPM)
			}
		}
	}
	b, e := pulsing(0.3, 0.001, fallSlow)
	for i := range e.value {
		if e.value[i] = 1; i%344 < 8 {
			e.value[i] = 2
		}
	}
	b.pulse.hz = 1 / (344 * fineSeconds)
	if got := b.attacks(e, &envelope{step: 1}); got != 1 {
		t.Errorf("clicks of 12 ms: %.2f", got)
	}
}

// A step from 1 to 1.3 at 0.25 s: 0.3 of a mean of 1.15; before and after it, none.
func TestRise(t *testing.T) {
	_, e := pulsing(0.3, 0.0001, 0.0001)
	for _, c := range []struct{ at, want float64 }{{5.25, 0.3 / 1.15}, {5.23, 0}, {5.28, 0}, {0.1, 0}, {19.9, 0}} {
		if got := e.rise(c.at, 0.25); math.Abs(got-c.want) > 0.04 {
			t.Errorf("at %.2f s: %.3f, want %.3f", c.at, got, c.want)
		}
	}
}

// under adds white noise of the given level to x.
func under(x []float32, level float64) []float32 {
	rng := rand.New(rand.NewPCG(7, 1))
	for i := range x {
		x[i] += float32(level * rng.NormFloat64())
	}
	return x
}

// softKick is a kick without a click on every beat, whose level falls by 1/e in 100 ms, with a
// bass that is held, at the given levels.
func softKick(bpm, kick, bass float64) []float32 {
	x := make([]float32, 30*synthRate)
	for i := range x {
		t := float64(i) / synthRate
		in := math.Mod(t, 60/bpm)
		x[i] = float32(kick*math.Exp(-in*10)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + bass*math.Sin(2*math.Pi*61.7*t))
	}
	return x
}

// A soft kick has a tempo under noise as loud as it is (a kick of peak 0.3 has 0.07 RMS) and
// three times as loud, with a bass and without.
func TestSoftKick(t *testing.T) {
	for _, c := range []struct{ bpm, kick, bass, noise float64 }{
		{120, 0.3, 0.2, 0.07}, {120, 0.3, 0.2, 0.2}, {126.5, 0.3, 0, 0.2}, {140, 0.15, 0.1, 0.1},
	} {
		x := under(softKick(c.bpm, c.kick, c.bass), c.noise)
		if r := measure([][]float32{x, x}, synthRate); !(octave(r.BPM, c.bpm) <= bpmTolerance) {
			t.Errorf("%+v: %.2f BPM, confidence %.2f", c, r.BPM, r.Confidence)
		}
	}
}

// The bass is a magnitude of what lies below 130 Hz: twice the tone is twice as much, and
// a tone at 400 Hz is a hundredth.
func TestBass(t *testing.T) {
	mean := func(hz, level float64) float64 {
		f := newFrontEnd(synthRate, 1)
		f.write([][]float32{tones(2, []float64{hz}, func(int, float64) float64 { return level })})
		return meanOf(f.bass.value[50:300])
	}
	one := mean(80, 1)
	if r := mean(80, 2) / one; math.Abs(r-2) > 0.01 {
		t.Errorf("twice the tone is %.3f times as much", r)
	}
	if r := mean(400, 1) / one; r > 0.02 {
		t.Errorf("a tone at 400 Hz is %.3f", r)
	}
}
