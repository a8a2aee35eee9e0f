package transfer

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Rumble is as even over a turn as noise is, does not follow the bass and does not repeat.
func TestSteadyLow(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, c := range []struct {
		name         string
		spread, tied float64 // dB
		turn         float64 // dB, with each turn of the record
		loop         float64 // share of the waveform that is the same every 4 s
		want         bool
	}{
		{"steady", 1.5, 0, 0, 0, true}, {"a little uneven", 4.5, 0, 0, 0, false}, {"swings with the turns", 1.5, 0, 5, 0, true}, {"uneven", 8, 0, 0, 0, false},
		{"follows the bass", 0, 1.5, 0, 0, false}, {"follows it in part", 1, 1, 0, 0, false},
		{"a loop", 1.5, 0, 0, 1, false}, {"a loop in it, as loud", 1.5, 0, 0, 0.5, false}, {"a soft loop in it", 1.5, 0, 0, 0.4, false}, {"a faint loop in it", 1.5, 0, 0, 0.1, true},
	} {
		l := &low{rate: slowRate, waves: newWaves(slowRate, 8)}
		for i := range 400 {
			beat := rng.NormFloat64()
			level := -45 + c.spread*rng.NormFloat64() + c.tied*beat + c.turn*math.Sin(2*math.Pi*turntables[0]*float64(i)*lowHop/slowRate)
			power := float32(math.Pow(10, level/10))
			l.frames = append(l.frames, lowFrame{rumble: [sides]float32{0, power}, bass: float32(math.Pow(10, -2+beat/2))})
		}
		bar := int(4 * l.waves.rate)
		loop := make([]float64, bar)
		for i := range loop {
			loop[i] = rng.NormFloat64()
		}
		for i := range 400 * lowHop / 8 {
			v := math.Sqrt(c.loop)*loop[i%bar] + math.Sqrt(1-c.loop)*rng.NormFloat64()
			l.waves.x[0], l.waves.x[1] = append(l.waves.x[0], 0), append(l.waves.x[1], float32(v))
		}
		if got := l.steadyLow(1); math.IsNaN(got) == c.want {
			t.Errorf("%s: %.1f dBFS", c.name, got)
		}
		for i := range l.frames { // under a bass that never moves, and 15 dB softer
			l.frames[i].bass = 0.01
		}
		if got := l.steadyLow(1); math.IsNaN(got) == (c.want || c.tied > 0 && c.tied+c.spread < 3) {
			t.Errorf("%s, a flat bass: %.1f dBFS", c.name, got)
		}
		for i := range l.frames {
			l.frames[i].rumble[1] /= 32
		}
		if got := l.steadyLow(1); !math.IsNaN(got) {
			t.Errorf("%s, 15 dB softer: %.1f dBFS", c.name, got)
		}
	}
}

// The waveform of the low end repeats as much of it as does; below 8 and above 28 Hz nobody
// asks. Expected: the correlation of a sum of parts that repeat and parts that don't is the
// first's share of the power.
func TestRepeats(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	const seconds, bar = 90, 2.5
	tone := func(hz, s float64) float64 { return math.Sin(2 * math.Pi * hz * s) }
	phases := [...]float64{9.2, 11.3, 14.7, 17.1, 19.9, 23.3, 26.1}
	for _, c := range []struct {
		name string
		at   func(s float64) float64
		want float64
	}{
		{"noise", func(float64) float64 { return rng.NormFloat64() }, 0.05},
		{"a tone", func(s float64) float64 { return 0.1 * tone(13, s) }, 1},
		{"a loop", func(s float64) float64 {
			v, s := 0.0, math.Mod(s, bar)
			for _, hz := range phases {
				v += tone(hz, s) * math.Sin(math.Pi*s/bar)
			}
			return v
		}, 1},
		{"tones above and below in noise", func(s float64) float64 { return 3*tone(4, s) + 3*tone(36, s) + rng.NormFloat64() }, 0.05},
	} {
		w := newWaves(44100./64, 256)
		x := make([]float32, 256)
		zero := make([]float32, 256)
		for from := 0; from < seconds*44100/64; from += len(x) {
			for i := range x {
				x[i] = float32(c.at(float64(from+i) / (44100. / 64)))
			}
			w.write(x, zero)
		}
		if n, want := len(w.x[0]), float64(seconds)*w.rate; math.Abs(float64(n)-want) > 40 {
			t.Errorf("%s: %d samples kept of %.0f", c.name, n, want)
		}
		equal := newWaves(44100./64, 256)
		equal.write(x, x)
		if !slices.Equal(equal.x[1], make([]float32, len(equal.x[1]))) || slices.Equal(equal.x[0], equal.x[1]) {
			t.Errorf("%s: what both channels have is in their difference", c.name)
		}
		for side := range sides { // one channel is in both sides alike
			if got := w.repeats(side); math.Abs(got-c.want) > 0.1 {
				t.Errorf("%s: side %d repeats by %.2f, want %.2f", c.name, side, got, c.want)
			}
		}
	}
}
