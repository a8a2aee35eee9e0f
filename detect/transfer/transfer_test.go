package transfer

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// groove is so many seconds at 122 BPM: kicks, hats, a bass line that rests, a pad that
// pauses for half a bar in four, a break of 16 s without kicks. Nothing in it clicks, hums or swings.
func groove(seconds float64, seed uint64) [][]float32 {
	rng := rand.New(rand.NewPCG(seed, 5))
	n := int(seconds * plantRate)
	x := [][]float32{make([]float32, n), make([]float32, n)}
	notes := [...]float64{49.0, 58.27, 51.91, 61.74} // G1, A#1, G#1, B1: beside the mains
	for i := range x[0] {
		t := float64(i) / plantRate
		beat := math.Mod(t, 60/122.0)
		kick := 0.6
		if t > 24 && t < 40 { // a break
			kick = 0
		}
		v := kick * math.Min(1, beat/0.002) * math.Exp(-beat/0.06) * math.Sin(2*math.Pi*(50*beat+3*(1-math.Exp(-beat/0.02))))
		bar := math.Mod(t, 8)
		if in := math.Mod(t, 2); bar < 6 && in > 0.5 && in < 1.2 {
			env := math.Min(1, math.Min((in-0.5)/0.01, (1.2-in)/0.02))
			v += 0.3 * env * math.Sin(2*math.Pi*notes[int(t/2)%4]*t)
		}
		pad := math.Min(1, math.Max(0, math.Min(bar, 7-bar)/0.05))
		w := 2 * math.Pi * t
		pad *= 0.05 * (math.Sin(220*w) + math.Sin(277.2*w) + math.Sin(329.6*w) + math.Sin(784*w) + math.Sin(1109*w) + math.Sin(1567*w))
		hat := math.Mod(t+0.25, 0.5)
		h := 0.15 * math.Min(1, hat/0.001) * math.Exp(-hat/0.03)
		for c := range x {
			x[c][i] = float32(v + pad + h*rng.NormFloat64() + 1e-5*rng.NormFloat64())
		}
	}
	return x
}

var groove64 = groove(64, 1)

func piece() [][]float32 {
	return [][]float32{slices.Clone(groove64[0]), slices.Clone(groove64[1])}
}

var beat122 = Beat{BPM: 122, Confidence: 0.9}

// tones adds a tone between two times to both channels.
func tones(x [][]float32, from, to, db float64, hz ...float64) {
	for i := int(from * plantRate); i < min(len(x[0]), int(to*plantRate)); i++ {
		for _, f := range hz {
			v := float32(amplitude(db) * math.Sqrt2 * math.Sin(2*math.Pi*f*float64(i)/plantRate))
			x[0][i] += v
			x[1][i] += v
		}
	}
}

// noise adds white noise between two times.
func noise(x [][]float32, from, to, db float64, rng *rand.Rand) {
	y := [][]float32{x[0][int(from*plantRate):int(to*plantRate)], x[1][int(from*plantRate):int(to*plantRate)]}
	plantHiss(y, db, rng)
}

// ticks adds a click at each time: one swing of 0.2 ms.
func ticksAt(x [][]float32, at func(k int) float64) {
	for k := 0; ; k++ {
		i := int(at(k) * plantRate)
		if i+10 > len(x[0]) {
			return
		}
		for j, v := range [...]float32{0.2, -0.3, 0.15, -0.05} {
			x[0][i+j] += v
			x[1][i+j] += v
		}
	}
}

// Each fault and the musical thing that looks like it.
func TestFaultsAndTheirOpposites(t *testing.T) {
	source := rand.NewPCG(4, 4)
	rng := rand.New(source)
	irregular := make([]float64, 200)
	for i := range irregular {
		irregular[i] = float64(i)*0.8 + 0.6*rng.Float64() // 75 a minute
	}
	for i, tt := range []struct {
		name string
		make func(x [][]float32) [][]float32
		want []reason.Kind
	}{
		{"clean", nil, nil},
		{"clicks at irregular times", func(x [][]float32) [][]float32 {
			ticksAt(x, func(k int) float64 { return irregular[k] })
			return x
		}, []reason.Kind{reason.Clicks}},
		{"clicks of the planted kind", func(x [][]float32) [][]float32 { plantClicks(x, 60, -24, -6, rng); return x }, []reason.Kind{reason.Clicks}},
		{"glitch percussion on the sixteenths of a bar", func(x [][]float32) [][]float32 {
			ticksAt(x, func(k int) float64 { return float64(k/3)*2 + [...]float64{0.375, 1.125, 1.625}[k%3] })
			return x
		}, nil},
		{"a loop of crackle of two bars", func(x [][]float32) [][]float32 {
			ticksAt(x, func(k int) float64 { return float64(k/7)*4 + irregular[k%7]*0.4 })
			return x
		}, nil},
		{"crackle in the intro only", func(x [][]float32) [][]float32 {
			ticksAt(x, func(k int) float64 {
				if k > 30 {
					return 1e3
				}
				return irregular[k] * 0.5
			})
			return x
		}, nil},
		{"hum of 50 Hz", func(x [][]float32) [][]float32 { plantHum(x, 50, -45, rng); return x }, []reason.Kind{reason.Hum}},
		{"faint hum of 60 Hz", func(x [][]float32) [][]float32 { plantHum(x, 60, -57, rng); return x }, []reason.Kind{reason.HumFaint}},
		{"a tone of 100 Hz alone", func(x [][]float32) [][]float32 { tones(x, 0, 64, -45, 100); return x }, []reason.Kind{reason.HumFaint}},
		{"a sub of 50 Hz with overtones that stops in the break", func(x [][]float32) [][]float32 {
			tones(x, 2, 30, -45, 50, 100, 150)
			return x
		}, nil},
		{"a drone of G1", func(x [][]float32) [][]float32 { tones(x, 0, 64, -40, 49, 98, 147); return x }, nil},
		{"a drone of 50 Hz at -30 dBFS", func(x [][]float32) [][]float32 { tones(x, 0, 64, -30, 50, 100); return x }, nil},
		{"a loud drone of 50 Hz", func(x [][]float32) [][]float32 { tones(x, 0, 64, -18, 50, 100); return x }, nil},
		{"rumble", func(x [][]float32) [][]float32 { plantRumble(x, -34, rng); return x }, []reason.Kind{reason.Rumble}},
		{"rumble that takes no headroom", func(x [][]float32) [][]float32 { plantRumble(x, -41, rng); return x }, []reason.Kind{reason.RumbleFaint}},
		{"faint rumble", func(x [][]float32) [][]float32 { plantRumble(x, -47, rng); return x }, []reason.Kind{reason.RumbleFaint}},
		{"rumble that swings with the turns", func(x [][]float32) [][]float32 { swayingRumble(x, -34, rng); return x }, []reason.Kind{reason.Rumble}},
		{"a sub that wobbles on the beat", func(x [][]float32) [][]float32 {
			tones(x, 0, 64, -34, 122/60.*6, 122/60.*12) // 12.2 and 24.4 Hz
			return x
		}, nil},
		{"a loop with a low end as of rumble", func(x [][]float32) [][]float32 {
			bar := [][]float32{make([]float32, 4*plantRate), make([]float32, 4*plantRate)}
			plantRumble(bar, -34, rng)
			for i := range x[0] {
				x[0][i] += bar[0][i%len(bar[0])]
				x[1][i] += bar[1][i%len(bar[0])]
			}
			return x
		}, nil},
		{"woodblocks off the beat", func(x [][]float32) [][]float32 {
			for k := range 70 {
				for i, from := 0, int(irregular[k]*plantRate); i < 1500 && from+i < len(x[0]); i++ {
					s := float64(i) / plantRate
					x[0][from+i] += float32(0.3 * math.Min(1, s/0.0005) * math.Exp(-s/0.006) * math.Sin(2*math.Pi*1900*s))
				}
			}
			return x
		}, nil},
		{"sub drops to 25 Hz", func(x [][]float32) [][]float32 {
			for at := 4.0; at < 64; at += 16 {
				tones(x, at, at+4, -25, 25, 22)
			}
			return x
		}, nil},
		{"hiss", func(x [][]float32) [][]float32 { noise(x, 0, 64, -48, rng); return x }, []reason.Kind{reason.Hiss}},
		{"noise as loud as an instrument", func(x [][]float32) [][]float32 { noise(x, 0, 64, -34, rng); return x }, nil},
		{"faint hiss", func(x [][]float32) [][]float32 { noise(x, 0, 64, -60, rng); return x }, []reason.Kind{reason.HissFaint}},
		{"noise in the intro and the break", func(x [][]float32) [][]float32 {
			noise(x, 0, 16, -45, rng)
			noise(x, 32, 40, -45, rng)
			return x
		}, nil},
		{"a whistle of 15 kHz", func(x [][]float32) [][]float32 { tones(x, 0, 64, -60, 15000); return x }, nil},
		{"wow of a record", func(x [][]float32) [][]float32 { return plantWow(x, 0.5, 100.0/180) }, []reason.Kind{reason.Wow}},
		{"vibrato of one high voice", func(x [][]float32) [][]float32 {
			for i := range x[0] {
				s := float64(i) / plantRate
				v := float32(0.1 * math.Sin(2*math.Pi*900*s-900*0.005/0.6*math.Cos(2*math.Pi*0.6*s)))
				x[0][i] += v
				x[1][i] += v
			}
			return x
		}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			source.Seed(4, uint64(i)) // no row depends on those before it
			x := piece()
			if tt.make != nil {
				x = tt.make(x)
			}
			var got []reason.Kind
			found := listen(x).Result(beat122)
			for _, f := range found {
				got = append(got, f.Kind)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("found %v, want %v: %+v", got, tt.want, found)
			}
		})
	}
}

// The figures are those that were planted.
func TestFigures(t *testing.T) {
	figure := func(x [][]float32) Finding {
		t.Helper()
		f := listen(x).Result(beat122)
		if len(f) != 1 {
			t.Fatalf("%+v", f)
		}
		return f[0]
	}
	x := piece()
	noise(x, 0, 64, -50, rand.New(rand.NewPCG(1, 1)))
	// The tilt of the planted noise takes 2 dB off the second difference.
	if f := figure(x); math.Abs(f.Figure+51) > 2 {
		t.Errorf("hiss of -50 dBFS: %+v", f)
	}
	x = piece()
	tones(x, 0, 64, -50, 50.1, 100.2)
	// Two lines of -50 dBFS, summed, are -47; of which up to 3 dB are lost in music.
	if f := figure(x); f.Figure < -50 || f.Figure > -46.5 || f.Detail[:15] != "hum of 50.1 Hz " {
		t.Errorf("two lines of -50 dBFS at 50.1 Hz: %+v", f)
	}
	x = piece()
	plantRumble(x, -40, rand.New(rand.NewPCG(1, 1)))
	if f := figure(x); math.Abs(f.Figure+40) > 2 {
		t.Errorf("rumble of -40 dBFS: %+v", f)
	}
	// 30 clicks a minute at known places, one of them twice as high as the others.
	x = piece()
	rng := rand.New(rand.NewPCG(9, 9))
	at := make([]float64, 33)
	for i := range at {
		at[i] = float64(i)*2 + 0.1 + 1.7*rng.Float64()
	}
	ticksAt(x, func(k int) float64 { return at[k] })
	high := 1822287 // 41.3217 s
	x[0][high], x[0][high+1] = 0.9, -0.9
	if f := figure(x); f.Kind != reason.Clicks || math.Abs(f.At-41.3217) > 0.002 || f.Figure < 15 || f.Figure > 36 {
		t.Errorf("30 clicks a minute, the worst at 41.322 s: %+v", f)
	}
	x = plantWow(piece(), 0.5, 100.0/180)
	if f := figure(x); f.Figure < 0.2 || f.Figure > 0.55 {
		t.Errorf("wow of 0.5 %%: %+v", f)
	}
}

// A loop of crackle is no clicks of a record, but the track crackles; six clicks and six
// a minute are the least.
func TestCrackles(t *testing.T) {
	every := func(seconds float64, n int) [][]float32 {
		x := piece()
		ticksAt(x, func(k int) float64 {
			if k >= n {
				return 1e3
			}
			return 1.31 + float64(k)*seconds
		})
		return x
	}
	for _, c := range []struct {
		seconds float64
		n       int
		want    bool
	}{{4, 15, true}, {4, 5, false}, {1, 0, false}} {
		if m := listen(every(c.seconds, c.n)); m.Crackles() != c.want {
			t.Errorf("%d clicks: %v, %d ticks", c.n, !c.want, len(m.clicks.found))
		}
	}
}

// Silence, noise, tones and short tracks have nothing, at any rate; hiss is noise.
func TestNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for _, rate := range []int{1, 8000, 22050, 44100, 96000} {
		for name, f := range map[string]func(i int) float64{
			"silence": func(int) float64 { return 0 },
			"noise":   func(int) float64 { return 0.1 * rng.NormFloat64() },
			"440 Hz":  func(i int) float64 { return 0.5 * math.Sin(2*math.Pi*440*float64(i)/float64(rate)) },
			"55 Hz":   func(i int) float64 { return 0.5 * math.Sin(2*math.Pi*55*float64(i)/float64(rate)) },
		} {
			x := [][]float32{make([]float32, 15*rate)}
			for i := range x[0] {
				x[0][i] = float32(f(i))
			}
			m := New(rate, 1)
			m.Write(x)
			if r := m.Result(Beat{BPM: math.NaN()}); len(r) > 0 {
				t.Errorf("%s at %d Hz: %+v", name, rate, r)
			}
		}
	}
	if r := New(44100, 2).Result(Beat{}); r != nil {
		t.Errorf("nothing at all: %+v", r)
	}
}

func TestWriteDoesNotAllocate(t *testing.T) {
	m := New(plantRate, 2)
	for range 300 { // lists have room then
		m.Write([][]float32{groove64[0][:4096], groove64[1][:4096]})
	}
	m.low.frames = slices.Grow(m.low.frames, 1000)
	block := [][]float32{groove64[0][:4096], groove64[1][:4096]}
	if n := testing.AllocsPerRun(100, func() { m.Write(block) }); n > 0 {
		t.Errorf("%g allocations a block", n)
	}
}

// Of each kind the plain one is worth a look, the faint one a note, and none keeps a
// record from being played (the project's design); the codes are those of the trim sheet.
func TestSeveritiesAndCodes(t *testing.T) {
	for code, kinds := range map[string][][2]reason.Kind{
		"clicks": {{reason.Clicks, reason.ClicksFew}},
		"hum":    {{reason.Hum, reason.HumFaint}},
		"noise":  {{reason.Rumble, reason.RumbleFaint}, {reason.Hiss, reason.HissFaint}},
		"wow":    {{reason.Wow, reason.WowSlight}},
	} {
		for _, k := range kinds {
			if k[0].Severity() != reason.Check || k[1].Severity() != reason.Note {
				t.Errorf("%s: severities %d and %d", k[0], k[0].Severity(), k[1].Severity())
			}
			if k[0].Reason() != code || k[1].Reason() != code {
				t.Errorf("%s: codes %q and %q, want %q", k[0], k[0].Reason(), k[1].Reason(), code)
			}
		}
	}
}

// Whatever the samples: finite figures, times within the track, bounded lists.
func FuzzMeter(f *testing.F) {
	f.Add(44100, 2, uint64(1), []byte{0, 255, 128, 3, 7})
	f.Add(8000, 1, uint64(2), []byte{1, 2, 3})
	f.Add(1<<30, 3, uint64(3), []byte{200, 100, 50})
	f.Fuzz(func(t *testing.T, rate, channels int, seed uint64, b []byte) {
		rate, channels = 1+rate&(1<<30-1), 1+channels&3
		rng := rand.New(rand.NewPCG(seed, 1))
		m := New(rate, channels)
		n := 0
		for _, v := range b[:min(len(b), 64)] {
			block := make([][]float32, channels)
			for c := range block {
				block[c] = make([]float32, int(v)*64)
				for i := range block[c] {
					switch v % 5 {
					case 0:
						block[c][i] = math.Float32frombits(rng.Uint32())
					case 1:
						block[c][i] = float32(rng.NormFloat64())
					case 2:
						block[c][i] = float32(math.Sin(float64(i) * float64(v) / 300))
					case 3:
						block[c][i] = float32(i % 97 / 96)
					}
				}
			}
			n += int(v) * 64
			m.Write(block)
		}
		for _, r := range m.Result(Beat{BPM: float64(len(b)), Confidence: 1}) {
			if r.Kind.Reason() == string(r.Kind) && r.Kind != reason.Clicks && r.Kind != reason.Hum && r.Kind != reason.Wow || math.IsNaN(r.Figure) || math.IsInf(r.Figure, 0) ||
				!(math.IsNaN(r.At) || r.At >= 0 && r.At <= float64(n)/float64(rate)) {
				t.Errorf("%+v in %d samples at %d Hz", r, n, rate)
			}
		}
		if len(m.clicks.found) > maxClicks {
			t.Errorf("%d ticks", len(m.clicks.found))
		}
	})
}
