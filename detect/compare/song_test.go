package compare

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"dubgauge/decode"
)

// audio is a track in memory.
type audio struct {
	rate int
	x    [][]float32
}

func (a audio) open() (decode.Stream, error) { return &reading{audio: a}, nil }

// reading is a Stream of an audio.
type reading struct {
	audio
	at int
}

func (r *reading) Info() decode.Info {
	return decode.Info{SampleRate: r.rate, Channels: len(r.x), Format: "wav"}
}
func (r *reading) Faults() []decode.Error { return nil }
func (r *reading) Close() error           { return nil }
func (r *reading) Read(dst [][]float32) (n int, err error) {
	for c := range dst {
		n = copy(dst[c], r.x[c][r.at:])
	}
	if r.at += n; n == 0 {
		return 0, io.EOF
	}
	return n, nil
}

// song makes music of a seed: kicks, hats, a bass and chords on a beat of bpm, the notes and
// rhythms drawn anew for each bar of eight, so that it is no loop.
func song(seed uint64, bpm, seconds float64, rate int) audio {
	r := rand.New(rand.NewPCG(seed, 77))
	n := int(seconds * float64(rate))
	a := audio{rate, [][]float32{make([]float32, n), make([]float32, n)}}
	step := 60 / bpm / 4
	scale := []float64{0, 2, 3, 5, 7, 8, 10}
	var bass, lead [32]float64
	var hats [32]bool
	for s := 0; float64(s)*step < seconds; s++ {
		if s%64 == 0 {
			for i := range bass {
				bass[i], lead[i] = 0, 0
				if r.Float64() < 0.5 {
					bass[i] = 55 * math.Exp2(scale[r.IntN(7)]/12)
				}
				if r.Float64() < 0.3 {
					lead[i] = 440 * math.Exp2(scale[r.IntN(7)]/12)
				}
				hats[i] = r.Float64() < 0.6
			}
		}
		start := int(float64(s) * step * float64(rate))
		i := s % 32
		if s%4 == 0 {
			a.tone(start, 0.25, 0.5, 0, func(t float64) float64 { return 50*t - 8*math.Exp(-t*30) }, 8)
		}
		if hats[i] {
			a.noise(start, 0.05, 0.12, r)
		}
		if f := bass[i]; f > 0 {
			a.tone(start, step, 0.25, 0, func(t float64) float64 { return f * t }, 2)
		}
		if f := lead[i]; f > 0 {
			for h := 1; h < 12; h++ {
				a.tone(start, 3*step, 0.12/float64(h), 0.6*(r.Float64()-0.5), func(t float64) float64 { return f * float64(h) * t }, 5)
			}
		}
	}
	return a
}

// first is a song of 30 s that several tests read and none changes.
var first = sync.OnceValue(func() audio { return song(1, 128, 30, 44100) })

// tone adds a decaying sine of a phase in turns, pan -1 to 1.
func (a audio) tone(start int, seconds, level, pan float64, phase func(t float64) float64, decay float64) {
	for i := 0; i < int(seconds*float64(a.rate)) && start+i < len(a.x[0]); i++ {
		t := float64(i) / float64(a.rate)
		v := level * math.Exp(-decay*t) * math.Sin(2*math.Pi*phase(t)) * math.Min(1, t*500)
		a.x[0][start+i] += float32(v * (1 - pan))
		a.x[1][start+i] += float32(v * (1 + pan))
	}
}

func (a audio) noise(start int, seconds, level float64, r *rand.Rand) {
	for i := 0; i < int(seconds*float64(a.rate)) && start+i < len(a.x[0]); i++ {
		v := level * math.Exp(-60*float64(i)/float64(a.rate)) * r.NormFloat64()
		a.x[0][start+i] += float32(v)
		a.x[1][start+i] += float32(v)
	}
}

// each is the track with every sample changed.
func (a audio) each(f func(v float64) float64) audio {
	out := audio{a.rate, make([][]float32, len(a.x))}
	for c := range a.x {
		out.x[c] = make([]float32, len(a.x[c]))
		for i, v := range a.x[c] {
			out.x[c][i] = float32(f(float64(v)))
		}
	}
	return out
}

func (a audio) louder(dB float64) audio {
	g := math.Pow(10, dB/20)
	return a.each(func(v float64) float64 { return g * v })
}

// from is the track from sample n on; before 0 there is silence.
func (a audio) from(n int) audio {
	out := audio{a.rate, make([][]float32, len(a.x))}
	for c := range a.x {
		if n < 0 {
			out.x[c] = append(make([]float32, -n), a.x[c]...)
		} else {
			out.x[c] = a.x[c][n:]
		}
	}
	return out
}

// to is the track up to sample n.
func (a audio) to(n int) audio {
	out := audio{a.rate, make([][]float32, len(a.x))}
	for c := range a.x {
		out.x[c] = a.x[c][:n]
	}
	return out
}

// then is a with b behind it.
func (a audio) then(b audio) audio {
	out := audio{a.rate, make([][]float32, len(a.x))}
	for c := range a.x {
		out.x[c] = append(append([]float32{}, a.x[c]...), b.x[c]...)
	}
	return out
}

// sixteen rounds to 16 bit with triangular dither.
func (a audio) sixteen() audio {
	r := rand.New(rand.NewPCG(1, 1))
	return a.each(func(v float64) float64 { return math.Round(v*32767+r.Float64()-r.Float64()) / 32767 })
}

// shelf is a biquad low shelf (Audio EQ Cookbook, W3C note of 2021, slope 1).
func (a audio) shelf(hz, dB float64) audio {
	g := math.Pow(10, dB/40)
	w := 2 * math.Pi * hz / float64(a.rate)
	cos, alpha := math.Cos(w), math.Sin(w)/math.Sqrt2
	k := 2 * math.Sqrt(g) * alpha
	b0, b1, b2 := g*((g+1)-(g-1)*cos+k), 2*g*((g-1)-(g+1)*cos), g*((g+1)-(g-1)*cos-k)
	a0, a1, a2 := (g+1)+(g-1)*cos+k, -2*((g-1)+(g+1)*cos), (g+1)+(g-1)*cos-k
	out := audio{a.rate, make([][]float32, len(a.x))}
	for c := range a.x {
		var x1, x2, y1, y2 float64
		out.x[c] = make([]float32, len(a.x[c]))
		for i, v := range a.x[c] {
			x := float64(v)
			y := (b0*x + b1*x1 + b2*x2 - a1*y1 - a2*y2) / a0
			x1, x2, y1, y2 = x, x1, y, y1
			out.x[c][i] = float32(y)
		}
	}
	return out
}

// limited is behind a limiter with a look-ahead of 2 ms and a release of 60 ms.
func (a audio) limited(ceiling float64) audio {
	ahead, release := int(0.002*float64(a.rate)), math.Exp(-1/(0.06*float64(a.rate)))
	out := audio{a.rate, [][]float32{make([]float32, len(a.x[0])), make([]float32, len(a.x[0]))}}
	g := 1.0
	for i := range a.x[0] {
		peak := 0.0
		for j := i; j < min(i+ahead, len(a.x[0])); j += 4 {
			peak = math.Max(peak, math.Max(math.Abs(float64(a.x[0][j])), math.Abs(float64(a.x[1][j]))))
		}
		want := math.Min(1, ceiling/math.Max(peak, 1e-9))
		if want < g {
			g += (want - g) * 0.05
		} else {
			g = want + (g-want)*release
		}
		for c := range out.x {
			out.x[c][i] = float32(g) * a.x[c][i]
		}
	}
	return out
}

func held(t *testing.T, a, b audio) Result {
	t.Helper()
	r, err := Tracks(context.Background(), a.open, b.open)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
