package faults

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/reason"
)

// planted makes a fault in clean music, in place.
type planted struct {
	name string
	make func(x [][]float32) [][]float32
	want []reason.Kind
}

const plantedRate = 44100

func each(f func(v float32) float32) func([][]float32) [][]float32 {
	return func(x [][]float32) [][]float32 {
		for c := range x {
			for i, v := range x[c] {
				x[c][i] = f(v)
			}
		}
		return x
	}
}

// pad puts silence before and after.
func pad(before, after float64) func([][]float32) [][]float32 {
	return func(x [][]float32) [][]float32 {
		for c := range x {
			y := make([]float32, int(before*plantedRate), len(x[c])+int((before+after)*plantedRate))
			y = append(y, x[c]...)
			x[c] = append(y, make([]float32, int(after*plantedRate))...)
		}
		return x
	}
}

// clip cuts the music at the level, after a drive that brings its peak to 1. What the
// music rests off zero by, 0.04 %, is taken out before: the drive would make a fault of it.
func clip(driveDB, gain float64) func([][]float32) [][]float32 {
	d := float32(math.Pow(10, driveDB/20) / 0.95)
	return func(x [][]float32) [][]float32 {
		for c := range x {
			mean := float32(0)
			for _, v := range x[c] {
				mean += v / float32(len(x[c]))
			}
			for i, v := range x[c] {
				x[c][i] = max(-1, min(1, (v-mean)*d)) * float32(gain)
			}
		}
		return x
	}
}

// invertLow turns one channel upside down below about 150 Hz: what a low-pass
// takes out is subtracted twice.
func invertLow(x [][]float32) [][]float32 {
	low := make([]float64, len(x[1]))
	p, q := newLowPass(200, plantedRate), newLowPass(200, plantedRate)
	for i, v := range x[1] {
		low[i] = p.next(float64(v))
	}
	for i := len(low) - 1; i >= 0; i-- { // backwards, so that phases stay
		x[1][i] -= 2 * float32(q.next(low[i]))
	}
	return x
}

func TestPlantedFaults(t *testing.T) {
	for _, tt := range []planted{
		{"3 s at the start", pad(3, 0), []reason.Kind{reason.SilenceStart}},
		{"15 s at the start", pad(15, 0), []reason.Kind{reason.LongStart}},
		{"8 s at the end", pad(0, 8), []reason.Kind{reason.SilenceEnd}},
		{"30 s at the end", pad(0, 30), []reason.Kind{reason.LongEnd}},
		{"1 s at both ends", pad(1, 1), nil},
		{"DC 1 %", each(func(v float32) float32 { return v*0.9 + 0.01 }), []reason.Kind{reason.DCOffset}},
		{"DC -0.5 %", each(func(v float32) float32 { return v*0.9 - 0.005 }), []reason.Kind{reason.DCSlight}},
		{"DC 0.9 %", each(func(v float32) float32 { return v*0.9 + 0.0086 }), []reason.Kind{reason.DCOffset}},
		{"DC 0.7 %", each(func(v float32) float32 { return v*0.9 + 0.0066 }), []reason.Kind{reason.DCSlight}},
		// The music rests at 0.04 % by itself; what is named begins at 0.22.
		{"DC 0.26 %", each(func(v float32) float32 { return v*0.9 + 0.0022 }), []reason.Kind{reason.DCSlight}},
		{"DC 0.21 %", each(func(v float32) float32 { return v*0.9 + 0.0017 }), nil},
		{"DC 0.1 %", each(func(v float32) float32 { return v*0.9 + 0.001 }), nil},
		{"right dead", func(x [][]float32) [][]float32 { clear(x[1]); return x }, []reason.Kind{reason.DeadChannel}},
		{"right inverted", func(x [][]float32) [][]float32 {
			for i := range x[1] {
				x[1][i] = -x[1][i]
			}
			return x
		}, []reason.Kind{reason.Polarity}},
		{"low end inverted", invertLow, []reason.Kind{reason.PolarityLow}},
		{"mono in stereo", func(x [][]float32) [][]float32 { copy(x[1], x[0]); return x }, []reason.Kind{reason.Mono}},
		// The music is not limited: its peaks stand far above the rest.
		{"+8 dB into the ceiling", clip(8, 1), []reason.Kind{reason.Clipped}},
		{"the same, 6 dB down", clip(8, 0.5), []reason.Kind{reason.Clipped}},
		{"+14 dB into the ceiling", clip(14, 1), []reason.Kind{reason.ClippedHard}},
		{"+14 dB, 12 dB down", clip(14, 0.25), []reason.Kind{reason.ClippedHard}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			for seed := range uint64(2) {
				x := piece(seed + 100)
				rng := rand.New(rand.NewPCG(seed, 4))
				r := run(wav(plantedRate, 2), quantise(tt.make(x), rng))
				want(t, r, tt.want...)
			}
		})
	}
}

// A jump is planted in a quiet passage of sustained low notes, where it would be
// heard; under hats it is masked for the meter as for the ear.
func TestPlantedClicks(t *testing.T) {
	pad := func() [][]float32 {
		x := [][]float32{make([]float32, 10*plantedRate), make([]float32, 10*plantedRate)}
		for i := range x[0] {
			s := 2 * math.Pi * float64(i) / plantedRate
			x[0][i] = float32(0.3*math.Sin(110*s) + 0.2*math.Sin(165.3*s) + 0.1*math.Sin(551*s))
			x[1][i] = float32(0.3*math.Sin(110*s+1) + 0.2*math.Sin(164.8*s) + 0.1*math.Sin(552*s))
		}
		return quantise(x, rand.New(rand.NewPCG(1, 1)))
	}
	want(t, run(wav(plantedRate, 2), pad()))
	// The first place after 5 s where leaving the samples out makes a jump at all.
	jumpAfter := func(skip int) int {
		x := pad()[0]
		i := 5 * plantedRate
		for abs(x[i-1]-x[i+skip]) < 0.2 {
			i++
		}
		return i
	}
	for _, skip := range []int{1152, 588, 0} {
		at := 5 * plantedRate
		x := pad()
		if skip > 0 {
			at = jumpAfter(skip)
			for c := range x {
				x[c] = append(x[c][:at], x[c][at+skip:]...)
			}
		} else {
			x[0][at] = 0.9 // a wrong sample
		}
		r := run(wav(plantedRate, 2), x)
		want(t, r, reason.Click)
		if len(r.Faults) != 1 || math.Abs(r.Faults[0].At-float64(at)/plantedRate) > 0.001 || r.Faults[0].Count != 1 {
			t.Errorf("skip %d: %+v, want one at %.4f s", skip, r.Faults, float64(at)/plantedRate)
		}
	}
}

func TestSilence(t *testing.T) {
	x := [][]float32{make([]float32, 44100*5), make([]float32, 44100*5)}
	r := run(wav(44100, 2), x)
	want(t, r, reason.Silent)
	if r.Fingerprint != "" {
		t.Error("silence has a fingerprint")
	}
	want(t, run(wav(44100, 2), quantise(x, rand.New(rand.NewPCG(1, 1)))), reason.Silent)
}

func TestNothingAtAll(t *testing.T) {
	m := New(wav(44100, 2))
	if r := m.Result(); len(r.Faults) != 0 || r.Fingerprint != "" || r.ClippedRuns != 0 {
		t.Errorf("%+v", r)
	}
}

// Sustained tones and waves that touch their own ceiling are not clipped; each is
// known by construction.
func TestWavesThatAreNotClipped(t *testing.T) {
	tone := func(f func(phase float64) float64, hz float64) [][]float32 {
		x := [][]float32{make([]float32, 4*44100), make([]float32, 4*44100)}
		for i := range x[0] {
			p := math.Mod(hz*float64(i)/44100, 1)
			x[0][i] = float32(f(p))
			x[1][i] = float32(0.98 * f(math.Mod(p+0.1, 1)))
		}
		return x
	}
	sine := func(p float64) float64 { return math.Sin(2 * math.Pi * p) }
	square := func(p float64) float64 { return math.Copysign(1, 0.5-p) }
	saw := func(p float64) float64 { return 2*p - 1 }
	pulse := func(p float64) float64 { return math.Copysign(1, 0.2-p) }
	for _, tt := range []struct {
		name string
		f    func(float64) float64
	}{{"sine", sine}, {"square", square}, {"saw", saw}, {"pulse", pulse}} {
		for _, hz := range []float64{20, 50, 110.7, 1000, 3000} {
			for _, gain := range []float64{1, 0.5} {
				x := tone(func(p float64) float64 { return gain * tt.f(p) }, hz)
				r := run(wav(44100, 2), quantise(x, rand.New(rand.NewPCG(1, 1))))
				if r.ClippedRuns != 0 {
					t.Errorf("%s at %g Hz, gain %g: %d clipped runs", tt.name, hz, gain, r.ClippedRuns)
				}
				for _, f := range r.Faults {
					if f.Kind == reason.Click || f.Kind == reason.Clipped || f.Kind == reason.Transcode {
						t.Errorf("%s at %g Hz, gain %g: %+v", tt.name, hz, gain, f)
					}
				}
			}
		}
	}
}
