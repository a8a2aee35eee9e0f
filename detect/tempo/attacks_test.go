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

// pulsing is a reading at 120 BPM whose fine envelope is 1, and 1+step for the second half
// of each beat, which it reaches evenly within so many seconds.
func pulsing(step, within float64) (*reading, *envelope) {
	e := &envelope{step: fineSeconds}
	for i := range int(math.Round(20 / fineSeconds)) {
		in := math.Mod(float64(i)*fineSeconds, 0.5) - 0.25
		e.value = append(e.value, float32(1+step*max(0, min(1, in/within))))
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
		b, e := pulsing(c.step, c.within)
		if got := b.attacks(e); math.Abs(got-c.want) > 0.12 {
			t.Errorf("a step of %.3f within %.3f s: %.3f, want %.3f", c.step, c.within, got, c.want)
		}
	}
	b, e := pulsing(0.3, 0.001)
	clear(e.value)
	if got := b.attacks(e); got != 0 {
		t.Errorf("silence: %.3f", got)
	}
}

// A step from 1 to 1.3 at 0.25 s: 0.3 of a mean of 1.15; before and after it, none.
func TestRise(t *testing.T) {
	_, e := pulsing(0.3, 0.0001)
	for _, c := range []struct{ at, want float64 }{{5.25, 0.3 / 1.15}, {5.23, 0}, {5.28, 0}, {0.1, 0}, {19.9, 0}} {
		if got := e.rise(c.at, 0.25); math.Abs(got-c.want) > 0.04 {
			t.Errorf("at %.2f s: %.3f, want %.3f", c.at, got, c.want)
		}
	}
}
