package main

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect"
	"dubgauge/detect/balance"
)

// noiseRecord measures 34 s of noise that is darker in its second half, through a filter if
// there is one.
func noiseRecord(t *testing.T, s Spec, filter func() *sound.Biquad) *Record {
	a := sound.New(34 * sound.Rate)
	r := rand.New(rand.NewPCG(3, 4))
	for i := range a.L {
		a.L[i] = 0.05 * r.NormFloat64()
		a.R[i] = a.L[i]
	}
	a.Part(17*sound.Rate, 34*sound.Rate).Filter(func() *sound.Biquad { return sound.HighShelf(2000, -6) })
	if filter != nil {
		a.Filter(filter)
	}
	out, err := measure(context.Background(), s, a, true)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What is worked out from third octaves is what a filter does to the audio: here to within
// 0.15 dB in each figure, and to within 0.05 LU in level; the windows begin at whole seconds,
// and the bands have skirts.
func TestThroughFilterIsWhatAFilterDoes(t *testing.T) {
	song := Spec{Genre: "house", Seed: 1}
	clean := noiseRecord(t, song, nil)
	for _, name := range []string{"low shelf 100 Hz -6 (master)", "presence 3.5 kHz +5 (mix)"} {
		d := defectNamed(name)
		want := between(clean, noiseRecord(t, song, d.Filter)).figures
		for i, got := range throughFilter(clean, d.Filter()) {
			tolerance := 0.15
			if i == levelFigure {
				tolerance = 0.05
			}
			if math.Abs(got-want[i]) > tolerance {
				t.Errorf("%s, figure %d: %.2f dB, in the audio %.2f", name, i, got, want[i])
			}
		}
	}
}

// figured is a record of which only balance, level and peak are known.
func figured(genre string, seed uint64, defect string, low, level, peak float64) *Record {
	r := levelled(genre, seed, defect, level, low)
	b := &r.Measurement.Balance
	for _, v := range []*detect.Value{&b.LowMidDB, &b.MidDB, &b.PresenceDB, &b.TrebleDB, &b.AirDB, &b.SubShareDB} {
		*v = detect.Value(math.Sin(float64(seed) * low))
	}
	r.Measurement.Peak.TruePeakDBTP = detect.Value(peak)
	return r
}

// A gain does to a song what it did to the one that was measured with it; songs that were
// measured, open music and look-alikes stay as they are.
func TestPlantOfGains(t *testing.T) {
	look := figured("house", lookSeed, "", 0, -8, -0.3)
	look.Spec.Look = "stutter"
	b := arrange([]*Record{figured("house", 1, "", -1, -8, -0.3), figured("house", 1, "gain -3", -1, -11, -3.3),
		figured("house", 3, "", 2, -6, -0.1), figured(openMusic, 1, "", 0, -9, 0), look}, "show")
	if n := b.plant(); n != 1 {
		t.Errorf("%d songs spoilt, want one", n)
	}
	got := b.with(b.songs[1], "gain -3")
	if got == nil || len(b.spoilt) != 2 || len(b.spoilt[b.songs[0].Spec]) != 1 {
		t.Fatalf("spoilt: %v", b.spoilt)
	}
	m := &got.Measurement
	if m.Loudness.Loudest30sLUFS != -9 || math.Abs(float64(m.Peak.TruePeakDBTP)+3.1) > 1e-9 || m.Balance.LowDB != 2 {
		t.Errorf("level %v, peak %v, low end %v", m.Loudness.Loudest30sLUFS, m.Peak.TruePeakDBTP, m.Balance.LowDB)
	}
	if b.songs[1].Measurement.Loudness.Loudest30sLUFS != -6 {
		t.Error("the clean song was changed")
	}
}

// What the limiter made of a filter in one song is added to what the filter alone does in
// another; a mix keeps the level that the other one had behind its mastering.
func TestPlantOfFilters(t *testing.T) {
	a := noiseRecord(t, Spec{Genre: "house", Seed: 1}, nil)
	b := heavierBottom(a)
	b.Spec.Seed = 3
	for name, keeps := range map[string]bool{"low shelf 100 Hz +6 (master)": false, "low shelf 100 Hz +6 (mix)": true} {
		spoilt := *a
		spoilt.Spec.Defect = name
		spoilt.Measurement.Balance.LowDB += 2
		spoilt.Measurement.Loudness.Loudest30sLUFS += 0.5
		bench := arrange([]*Record{a, &spoilt, b}, "show")
		bench.plant()
		clean := bench.songs[1]
		by := between(clean, bench.with(clean, name)).figures
		d := defectNamed(name)
		alone, model := throughFilter(clean, d.Filter()), throughFilter(a, d.Filter())
		if want := 2 + alone[0] - model[0]; math.Abs(by[0]-want) > 1e-9 || math.Abs(alone[0]-model[0]) < 0.2 {
			t.Errorf("%s: low end by %.3f dB, want %.3f", name, by[0], want)
		}
		for k := levelFigure + 1; k < len(by); k++ {
			if want := alone[k] - model[k]; math.Abs(by[k]-want) > 1e-9 || math.IsNaN(want) {
				t.Errorf("%s: figure %d by %.3f dB, want %.3f", name, k, by[k], want)
			}
		}
		if !slices.Equal(clean.Measurement.Balance.ThirdsDB, a.Measurement.Balance.ThirdsDB) {
			t.Errorf("%s: the clean song was changed", name)
		}
		want := 0.5
		if !keeps {
			want += alone[levelFigure] - model[levelFigure]
		}
		if math.Abs(by[levelFigure]-want) > 1e-9 {
			t.Errorf("%s: level by %.3f LU, want %.3f", name, by[levelFigure], want)
		}
	}
}

// heavierBottom is a record whose third octaves up to 160 Hz lie 20 dB higher.
func heavierBottom(r *Record) *Record {
	out := *r
	out.Thirds = make([][]detect.Value, len(r.Thirds))
	for t, levels := range r.Thirds {
		out.Thirds[t] = append([]detect.Value(nil), levels...)
		for b := range 10 {
			out.Thirds[t][b] += 20
		}
	}
	return &out
}

// Who looks for one thing in one figure to one side: at 5 % of alarms the cut-off of a normal
// distribution is 1.645, and of what lies 2 and 3 standard deviations off 63.9 and 91.2 % pass
// it (Abramowitz & Stegun, table 26.1). The spread of 400 draws: three standard errors.
func TestObserverOfOneThing(t *testing.T) {
	o, ok := newObserver(mat.NewSymDense(1, []float64{4}), [][]float64{{5}})
	if !ok {
		t.Fatal("no observer")
	}
	for by, want := range map[float64]float64{0: 0.05, 4: 0.639, 6: 0.912} {
		if got := o.finds([]float64{by}); math.Abs(got-want) > 3*math.Sqrt(want*(1-want)/songDraws)+0.005 {
			t.Errorf("%g dB off: %.3f found, want %.3f", by, got, want)
		}
	}
	// Two things, in two figures that have nothing to do with each other: a little less of each.
	both, ok := newObserver(mat.NewSymDense(2, []float64{4, 0, 0, 4}), [][]float64{{5, 0}, {0, 5}})
	if got := both.finds([]float64{6, 0}); !ok || got > 0.89 || got < 0.75 {
		t.Errorf("one of two: %.3f found", got)
	}
}

// The observers of a bench: who must learn the middle finds less, and more references tell
// more.
func TestSharedObservers(t *testing.T) {
	var records []*Record
	r := rand.New(rand.NewPCG(9, 9))
	for seed := uint64(1); seed < 240; seed += 2 {
		x := figured("house", seed, "", 0, -8+0.7*r.NormFloat64(), 0)
		b := &x.Measurement.Balance
		for _, v := range []*detect.Value{&b.LowDB, &b.LowMidDB, &b.MidDB, &b.PresenceDB, &b.TrebleDB, &b.AirDB, &b.SubShareDB} {
			*v = detect.Value(r.NormFloat64())
		}
		for range balance.Thirds {
			b.ThirdsDB = append(b.ThirdsDB, detect.Value(r.NormFloat64()))
		}
		spoilt := *x
		spoilt.Spec.Defect = "gain -3"
		spoilt.Measurement.Loudness.Loudest30sLUFS -= 1.6
		records = append(records, x, &spoilt)
	}
	b := arrange(records, "show")
	five, many, known := shared(b, 5)["gain -3"], shared(b, 50)["gain -3"], shared(b, 0)["gain -3"]
	if !(five+0.02 < many && many < known) || known < 0.7 || len(shared(b, 0)) != 1 {
		t.Errorf("found with 5 references %.3f, with 50 %.3f, by one who knows the middle %.3f", five, many, known)
	}
}

// The power of a filter at a frequency, by sines through it.
func TestPowerOfAFilter(t *testing.T) {
	for _, hz := range []float64{50, 100, 1000} {
		x := make([]float64, 2*sound.Rate)
		for i := range x {
			x[i] = math.Sin(2 * math.Pi * hz * float64(i) / sound.Rate)
		}
		sound.LowShelf(100, -6).Run(x)
		sum := 0.0
		for _, v := range x[sound.Rate:] {
			sum += 2 * v * v / sound.Rate
		}
		if got := sound.LowShelf(100, -6).Power(hz); math.Abs(got-sum) > 1e-3 {
			t.Errorf("%g Hz: power %.4f, a sine has %.4f", hz, got, sum)
		}
	}
}

// Peaks change as they did in the song that was measured: half as much flat, the highest sample as
// it went; where that song's were not measured nothing is known of them, and never is more than all flat.
func TestPlantOfPeaks(t *testing.T) {
	const name = "gain +3"
	one, other := Spec{Genre: "house", Seed: 1}, Spec{Genre: "house", Seed: 3}
	spoilt := one
	spoilt.Defect = name
	for _, c := range []struct{ was, is, clean, want detect.Value }{{0.08, 0.04, 0.06, 0.03}, {0.1, 0.8, 0.5, 1}, {0, 0.1, 0.5, detect.None}} {
		before, after, clean := peaked(one, c.was, 1), peaked(spoilt, c.is, 1), peaked(other, c.clean, 1)
		after.Measurement.Peak.SamplePeakDBFS -= 0.25
		b := arrange([]*Record{before, after, clean}, "show")
		b.plant()
		got := b.with(clean, name).Measurement
		if c.want.Exists() != (got.Limiting != nil) {
			t.Fatalf("%v of %v: %+v", c.is, c.was, got.Limiting)
		}
		if got.Limiting != nil && math.Abs(float64(got.Limiting.FlatShare-c.want)) > 1e-9 {
			t.Errorf("flat %v, want %v", got.Limiting.FlatShare, c.want)
		}
		if math.Abs(float64(got.Peak.SamplePeakDBFS)+0.55) > 1e-9 || clean.Measurement.Limiting.FlatShare != c.clean {
			t.Errorf("sample peak %v, the clean song has %v flat", got.Peak.SamplePeakDBFS, clean.Measurement.Limiting.FlatShare)
		}
	}
}
