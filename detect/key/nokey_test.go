package key

import (
	"math"
	"math/rand/v2"
	"testing"
)

const testRate = 22050 // hertz; more than the highest peak needs, and quick

// noises are tracks of noise, 20 s each.
func noises() map[string][]float32 {
	rnd := rand.New(rand.NewPCG(3, 1))
	white := make([]float32, 20*testRate)
	brown := make([]float32, len(white))
	walk := 0.0
	for i := range white {
		white[i] = float32(0.2 * rnd.NormFloat64())
		walk = 0.99*walk + 0.05*rnd.NormFloat64()
		brown[i] = float32(walk)
	}
	return map[string][]float32{"white noise": white, "brown noise": brown, "speech-like noise": babble(rnd),
		"silence": make([]float32, 20*testRate), "dither": dither(rnd)}
}

// babble is pulses of a gliding pitch through a resonance that jumps, with
// unvoiced noise between: what a voice has in common with music and what not.
func babble(rnd *rand.Rand) []float32 {
	x := make([]float32, 20*testRate)
	phase, pitch, formant, y1, y2 := 0.0, 120.0, 500.0, 0.0, 0.0
	for i := range x {
		if i%4000 == 0 {
			pitch, formant = 90+80*rnd.Float64(), 300+1500*rnd.Float64()
		}
		in := 0.0
		if phase += pitch * (1 - float64(i%4000)/16000) / testRate; phase > 1 {
			phase--
			in = 1
		}
		if i%16000 > 12000 {
			in = 0.05 * rnd.NormFloat64()
		}
		y := in + 2*0.97*math.Cos(2*math.Pi*formant/testRate)*y1 - 0.97*0.97*y2
		y1, y2 = y, y1
		x[i] = float32(0.05 * y)
	}
	return x
}

// dither is triangular noise of one step of 16 bits.
func dither(rnd *rand.Rand) []float32 {
	x := make([]float32, 20*testRate)
	for i := range x {
		x[i] = float32(math.Round(rnd.Float64()-rnd.Float64()) / 32768)
	}
	return x
}

// drumTracks are drums alone, among them patterns made by chance.
func drumTracks() map[string][]float32 {
	kicks := []hit{{0, 'k'}, {1, 'k'}, {2, 'k'}, {3, 'k'}}
	tracks := map[string][]hit{"four on the floor": fourOnTheFloor(1), "two-step": breakbeat(1), "kick": kicks}
	for i, name := range []string{"chance 1", "chance 2", "chance 3"} {
		rnd := rand.New(rand.NewPCG(4, uint64(i)))
		for at := 0.0; at < 4; at += 0.25 {
			for _, p := range []struct {
				what   byte
				chance float64
			}{{'k', 0.3}, {'s', 0.2}, {'h', 0.6}, {'t', 0.15}} {
				if rnd.Float64() < p.chance {
					tracks[name] = append(tracks[name], hit{at, p.what})
				}
			}
		}
	}
	out := map[string][]float32{}
	for name, d := range tracks {
		out["drums: "+name] = tune{bpm: 128, beats: 4, seconds: 20, drums: d}.render(testRate)
	}
	return out
}

// atonal is pitched music without a centre.
func atonal() map[string][]float32 {
	out := map[string][]float32{}
	var cluster []note
	for i := range 12 {
		cluster = append(cluster, note{0, 4, middleC + float64(i), 0.3})
	}
	rnd := rand.New(rand.NewPCG(5, 1))
	var microtones []note
	for range 200 {
		microtones = append(microtones, note{float64(rnd.IntN(64)) / 2, 0.5 + 2*rnd.Float64(), 40 + 40*rnd.Float64(), 0.3})
	}
	wholeTones := line(middleC, 0, 2, 4, 6, 8, 10, 8, 6, 4, 2, 10, 6, 2, 8, 4, 0)
	for tb, name := range timbreNames {
		t := tune{bpm: 120, timbre: timbre(tb), seconds: 20}
		t.notes, t.beats = cluster, 4
		out["chromatic cluster, "+name] = t.render(testRate)
		t.notes, t.beats = wholeTones, 8
		out["whole tones, "+name] = t.render(testRate)
		t.notes, t.beats = line(middleC, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11), 6
		out["chromatic scale, "+name] = t.render(testRate)
		t.notes, t.beats = microtones, 34
		out["any pitch, "+name] = t.render(testRate)
	}
	return out
}

func TestNoKey(t *testing.T) {
	for _, tracks := range []map[string][]float32{noises(), drumTracks(), atonal()} {
		for name, x := range tracks {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				got := listen(x, testRate).Result()
				if got.Exists() || got.Confidence != 0 || got.RunnerUp != NoKey {
					t.Errorf("found %v with confidence %.2f", got.Key, got.Confidence)
				}
			})
		}
	}
}

// A third decides between major and minor. Where none sounds the tonic may be
// named, but not with confidence.
func TestWithoutThird(t *testing.T) {
	const unsure = 0.7
	for tb, name := range timbreNames {
		if timbre(tb) == fm {
			continue // its sidebands hold a third
		}
		x := tune{bpm: 120, timbre: timbre(tb), beats: 8, seconds: 20,
			notes: []note{{0, 8, 40, 0.5}, {0, 8, 47, 0.5}}}.render(testRate)
		if got := listen(x, testRate).Result(); got.Confidence > unsure {
			t.Errorf("fifths on E, %s: %v with confidence %.2f", name, got.Key, got.Confidence)
		}
	}
}

func TestEmptyAndShort(t *testing.T) {
	for _, n := range []int{0, 1, 1000} {
		m := New(44100, 2)
		m.Write([][]float32{make([]float32, n), make([]float32, n)})
		r := m.Result()
		if r.Exists() || !math.IsNaN(r.TuningCents) || r.Agreement != 0 {
			t.Errorf("%d samples: %+v", n, r)
		}
	}
}
