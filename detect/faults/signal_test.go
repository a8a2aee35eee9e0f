package faults

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"dubgauge/decode/stream"
	"dubgauge/detect/reason"
)

// wav is what most tests measure as: 16 bit PCM, stereo.
func wav(rate, channels int) stream.Info {
	return stream.Info{Format: "wav", Codec: "pcm_s16", SampleRate: rate, Channels: channels, BitDepth: 16, Frames: -1}
}

// run measures audio in blocks of odd sizes.
func run(info stream.Info, audio [][]float32) Result {
	m := New(info)
	rng := rand.New(rand.NewPCG(1, 2))
	block := make([][]float32, len(audio))
	for from := 0; from < len(audio[0]); {
		n := min(1+rng.IntN(5000), len(audio[0])-from)
		for c := range audio {
			block[c] = audio[c][from : from+n]
		}
		m.Write(block)
		from += n
	}
	return m.Result()
}

// kinds lists the kinds found, without those of the format.
func kinds(r Result) []reason.Kind {
	var k []reason.Kind
	for _, f := range r.Faults {
		if f.Kind != reason.Format && f.Kind != reason.FormatNewer {
			k = append(k, f.Kind)
		}
	}
	return k
}

// want fails when the kinds found are not the given ones.
func want(t *testing.T, r Result, k ...reason.Kind) {
	t.Helper()
	got := kinds(r)
	slices.Sort(got)
	slices.Sort(k)
	if !slices.Equal(got, k) {
		t.Errorf("found %v, want %v: %+v", got, k, r.Faults)
	}
}

// quantise rounds to 16 bit with triangular dither.
func quantise(audio [][]float32, rng *rand.Rand) [][]float32 {
	out := make([][]float32, len(audio))
	for c, x := range audio {
		out[c] = make([]float32, len(x))
		for i, v := range x {
			q := math.Round(float64(v)*32768 + rng.Float64() - rng.Float64())
			out[c][i] = float32(max(-32768, min(32767, q)) / 32768)
		}
	}
	return out
}

// music synthesises a piece of club music: a kick on every beat, off-beat hats of
// noise, a bass line, a pad of detuned saw waves whose partials reach up to the
// band limit (in hertz), a lead that comes and goes. It is additive, so that
// nothing aliases. peak is the highest sample.
func music(seed uint64, rate int, seconds, bandLimit, peak float64) [][]float32 {
	rng := rand.New(rand.NewPCG(seed, 17))
	n := int(seconds * float64(rate))
	l, r := make([]float64, n), make([]float64, n)
	fs := float64(rate)
	beat := 60 / (118 + 20*rng.Float64())
	root := 40 + 20*rng.Float64()
	scale := []float64{0, 3, 5, 7, 10, 12}
	add := func(at, length float64, pan float64, f func(t float64) float64) {
		from := int(at * fs)
		for i := from; i < min(n, from+int(length*fs)); i++ {
			v := f(float64(i-from) / fs)
			l[i] += v * math.Sqrt(1-pan)
			r[i] += v * math.Sqrt(pan)
		}
	}
	noise := newHat(rng, rate, bandLimit)
	bars := int(seconds/beat/4) + 1
	for bar := range bars {
		start := float64(bar) * 4 * beat
		section := bar / 8 % 4
		for b := range 4 {
			at := start + float64(b)*beat
			if section != 2 {
				add(at, 0.35, 0.5, func(t float64) float64 {
					return 0.9 * math.Min(1, t/0.002) * math.Exp(-t/0.1) * math.Sin(2*math.Pi*(50*t+6*(1-math.Exp(-t/0.02))))
				})
			}
			k := rng.IntN(len(noise) / 2)
			add(at+beat/2, 0.12, 0.4+0.2*rng.Float64(), func(t float64) float64 {
				return 0.5 * math.Min(1, t/0.001) * math.Exp(-t/0.03) * noise[k+int(t*fs)]
			})
			note := root * math.Pow(2, scale[rng.IntN(len(scale))]/12)
			add(at+beat/4, beat*0.6, 0.5, func(t float64) float64 {
				env := math.Min(1, t/0.005) * math.Min(1, (beat*0.6-t)/0.02)
				return 0.5 * env * (math.Sin(2*math.Pi*note*t) + 0.3*math.Sin(4*math.Pi*note*t))
			})
		}
		if section > 0 {
			note := 4 * root * math.Pow(2, scale[rng.IntN(len(scale))]/12)
			for v := range 3 {
				saw(l, r, int(start*fs), int(4*beat*fs), note*(1+0.004*float64(v-1)), fs, bandLimit, 0.1, 0.2+0.3*float64(v))
			}
		}
	}
	top := 0.0
	for i := range l {
		top = max(top, math.Abs(l[i]), math.Abs(r[i]))
	}
	out := [][]float32{make([]float32, n), make([]float32, n)}
	for i := range l {
		out[0][i], out[1][i] = float32(l[i]/top*peak), float32(r[i]/top*peak)
	}
	return out
}

// saw adds a band-limited saw wave with slow fades, by recurrence of its partials.
func saw(l, r []float64, from, n int, hz, fs, limit, gain, pan float64) {
	n = min(n, len(l)-from)
	if n <= 0 {
		return
	}
	sum := make([]float64, n)
	for k := 1; float64(k)*hz < limit; k++ {
		w := 2 * math.Pi * float64(k) * hz / fs
		c, a, b := 2*math.Cos(w), 0.0, math.Sin(w)
		g := 1 / math.Pow(float64(k), 0.7)
		for i := range sum {
			sum[i] += g * a
			a, b = b, c*b-a
		}
	}
	for i, v := range sum {
		env := math.Min(1, math.Min(float64(i), float64(n-i))/(0.05*fs))
		l[from+i] += gain * env * v * math.Sqrt(1-pan)
		r[from+i] += gain * env * v * math.Sqrt(pan)
	}
}

// newHat makes two seconds of white noise through a high-pass of second order at
// 5 kHz, then through as many low-passes of the first order as limits has.
func newHat(rng *rand.Rand, rate int, limit float64) []float64 {
	out := make([]float64, 2*rate)
	for i := range out {
		out[i] = rng.NormFloat64()
	}
	p := newLowPass(5000, float64(rate))
	for i, v := range out {
		out[i] = v - p.next(v)
	}
	if limit < 0.45*float64(rate) {
		for range 2 {
			onePole(out, limit, float64(rate))
		}
	}
	return out
}

// onePole is a gentle low-pass: 6 dB an octave.
func onePole(x []float64, hz, rate float64) {
	a, y := 1-math.Exp(-2*math.Pi*hz/rate), 0.0
	for i, v := range x {
		y += a * (v - y)
		x[i] = y
	}
}

// piece is 20 s of music at plantedRate, made once.
func piece(seed uint64) [][]float32 {
	pieces.Lock()
	defer pieces.Unlock()
	if pieces.made[seed] == nil {
		pieces.made[seed] = music(seed, plantedRate, 20, 20000, 0.95)
	}
	return clone(pieces.made[seed])
}

var pieces = struct {
	sync.Mutex
	made map[uint64][][]float32
}{made: map[uint64][][]float32{}}

func clone(audio [][]float32) [][]float32 {
	out := make([][]float32, len(audio))
	for c := range audio {
		out[c] = slices.Clone(audio[c])
	}
	return out
}
