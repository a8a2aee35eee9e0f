package compare

import (
	"math"
	"slices"
	"testing"
)

const rate = 44100

// What was done to a track is told, where it lies is found to the sample and by how much it is
// louder to a hundredth of a decibel.
func TestKinds(t *testing.T) {
	a := first()
	for _, c := range []struct {
		name   string
		b      audio
		kind   Kind
		offset float64
		gain   float64 // within 0.01 dB where it is a number
	}{
		{"itself", a, Same, 0, 0},
		{"rounded to 16 bit", a.sixteen(), Same, 0, 0},
		{"3.21 dB quieter", a.louder(-3.21), Gain, 0, -3.21},
		{"0.01 dB louder", a.louder(0.01), Gain, 0, 0.01},
		{"upside down", a.each(func(v float64) float64 { return -v }), Gain, 0, 0},
		{"12,345 samples later", a.from(-12345), Same, 12345, 0},
		{"10 s cut off, 6 dB quieter", a.from(10 * rate).louder(-6), Gain, -10 * rate, -6},
		{"6 dB of low end", a.shelf(100, 6), Equaliser, 0, math.NaN()},
		{"3 dB less low end, a sample late", a.shelf(200, -3).from(-1), Equaliser, 1, math.NaN()},
		{"limited", a.louder(6).limited(0.5), Limiter, 0, math.NaN()},
		{"another tune", song(2, 128, 30, rate), Other, math.NaN(), math.NaN()},
		{"another tune at another tempo", song(3, 140, 30, rate), Other, math.NaN(), math.NaN()},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := held(t, a, c.b)
			t.Logf("%s: offset %v, gain %v, residual %v, reduction %v, speed %v, overlap %v", r.Kind, r.OffsetSamples, r.GainDB, r.ResidualDB, r.ReductionDB, r.SpeedPercent, r.OverlapS)
			if r.Kind != c.kind {
				t.Errorf("%s, want %s", r.Kind, c.kind)
			}
			if math.IsNaN(c.offset) != !r.OffsetSamples.Exists() || (r.OffsetSamples.Exists() && float64(r.OffsetSamples) != c.offset) {
				t.Errorf("offset %v, want %v", r.OffsetSamples, c.offset)
			}
			if !math.IsNaN(c.gain) && math.Abs(float64(r.GainDB)-c.gain) > 0.01 {
				t.Errorf("gain %v, want %v", r.GainDB, c.gain)
			}
			if r.SpeedPercent.Exists() != (c.kind != Other) || r.SpeedPercent > 0 {
				t.Errorf("speed %v", r.SpeedPercent)
			}
			for k, v := range r.ChangeDB {
				if c.kind == Gain && v.Exists() && math.Abs(float64(v)) > 0.02 {
					t.Errorf("%g Hz: %v dB at equal level", r.CentreHz[k], v)
				}
			}
			if r.Inverted != (c.name == "upside down") {
				t.Errorf("inverted %v", r.Inverted)
			}
		})
	}
}

// What both play is told from what one of them has alone, and where they differ, with the time.
func TestSpans(t *testing.T) {
	a := first()
	quieter := a.each(func(v float64) float64 { return v })
	for c := range quieter.x {
		for i := 15 * rate; i < 18*rate; i++ {
			quieter.x[c][i] *= 0.1
		}
	}
	intro := song(9, 128, 15, rate)
	for _, c := range []struct {
		name string
		b    audio
		want []Span // within half a second
	}{
		{"itself", a, nil},
		{"quieter as a whole", a.louder(-5), nil},
		{"3 s quieter in the middle", quieter, []Span{{15, 18, "both", 20}}},
		{"8 s missing at the start, 5 at the end", a.from(8 * rate).to(17 * rate), []Span{{0, 8, "a", 0}, {25, 30, "a", 0}}},
		{"a new intro", intro.then(a), []Span{{0, 15, "b", 0}}},
		{"a longer end", a.then(intro), []Span{{30, 45, "b", 0}}},
	} {
		r := held(t, a, c.b)
		ok := len(r.Differ) == len(c.want)
		for i := 0; ok && i < len(c.want); i++ {
			g, w := r.Differ[i], c.want[i]
			ok = g.In == w.In && math.Abs(g.StartS-w.StartS) < 0.5 && math.Abs(g.EndS-w.EndS) < 0.5 && (w.DB == 0) == (g.DB == 0) && math.Abs(g.DB-w.DB) < 4
		}
		if !ok {
			t.Errorf("%s: %+v, want %+v", c.name, r.Differ, c.want)
		}
	}
}

// A track that plays faster is found and by how much, as is a mono copy.
func TestSpeedAndChannels(t *testing.T) {
	a := song(4, 124, 40, rate)
	const speed = 1.00005
	fast := audio{rate, make([][]float32, 2)}
	for c := range fast.x {
		for i := range int(float64(len(a.x[0])) / speed) {
			fast.x[c] = append(fast.x[c], float32(at(a.x[c], float64(i)*speed)))
		}
	}
	if r := held(t, a, fast); math.Abs(float64(r.SpeedPercent)-0.005) > 0.0002 || math.Abs(float64(r.OffsetSamples)) > 2 {
		t.Errorf("speed %v %%, offset %v", r.SpeedPercent, r.OffsetSamples)
	}
	mono := audio{rate, [][]float32{single(mid(a.x))}}
	if r := held(t, a, mono); r.Kind != Gain && r.Kind != Same || r.OffsetSamples != 0 {
		t.Errorf("mono copy: %s, offset %v, gain %v", r.Kind, r.OffsetSamples, r.GainDB)
	}
}

// A low shelf shows in the third octaves as the filter that it is: +6 dB in the lowest against the
// highest, half of it in dB at 100 Hz.
func TestChange(t *testing.T) {
	a := song(6, 128, 20, rate)
	r := held(t, a, a.shelf(100, 6))
	top := float64(r.ChangeDB[20]) // 2 kHz
	for band, want := range map[int]float64{4: 5.7, 7: 3, 13: 0.02, 17: 0, 25: 0} {
		if got := float64(r.ChangeDB[band]) - top; math.Abs(got-want) > 0.5 {
			t.Errorf("%g Hz: %+.2f dB, want %+.2f", r.CentreHz[band], got, want)
		}
	}
}

// The best places are kept, the best first, and of those next to each other one.
func TestKeep(t *testing.T) {
	var best []place
	for i, score := range []float64{1, 5, 3, 4, 2, 6} {
		best = keep(best, place{1000 * i, score})
	}
	best = keep(best, place{1005, 5.5})
	best = keep(best, place{1002, 5.2})
	want := []place{{5000, 6}, {1005, 5.5}, {3000, 4}, {2000, 3}}
	if !slices.Equal(best, want) {
		t.Errorf("%v, want %v", best, want)
	}
}

// What is too short, silent or empty is no match, and no error.
func TestNothing(t *testing.T) {
	empty := audio{rate, [][]float32{{}, {}}}
	silence := audio{rate, [][]float32{make([]float32, 30*rate), make([]float32, 30*rate)}}
	a := first()
	for _, c := range [][2]audio{{empty, a}, {a, empty}, {silence, a}, {silence, silence}, {a.to(rate / 2), a.to(rate / 2)}} {
		if r := held(t, c[0], c[1]); r.Kind != Other || r.OffsetSamples.Exists() {
			t.Errorf("%s at %v", r.Kind, r.OffsetSamples)
		}
	}
}

// Which of the two was limited is told, and by how much for all but a hundredth of the time: the
// span of the gain that was applied, block by block over the whole track, taken here from the
// powers. What is reported comes from a dozen windows where the track is loudest, which leaves
// the rest of the difference.
func TestReduction(t *testing.T) {
	a := song(7, 130, 24, rate)
	peak := 0.0
	for _, v := range a.x[0] {
		peak = math.Max(peak, math.Abs(float64(v)))
	}
	b := a.limited(peak / 2)
	var gains []float64
	for from := 0; from+220 <= len(a.x[0]); from += 220 {
		var was, is, top float64
		for i := from; i < from+220; i++ {
			for c := range a.x {
				v, w := float64(a.x[c][i]), float64(b.x[c][i])
				was, is, top = was+v*v, is+w*w, math.Max(top, math.Abs(v))
			}
		}
		if top > silent*peak {
			gains = append(gains, 10*math.Log10(is/was))
		}
	}
	slices.Sort(gains)
	known := gains[len(gains)*9/10] - gains[len(gains)/100]
	for _, c := range []struct {
		name string
		a, b audio
		want float64
	}{{"b limited", a, b, known}, {"a limited", b, a, -known}, {"none", a, a.louder(2), 0}} {
		if got := float64(held(t, c.a, c.b).ReductionDB); math.Abs(got-c.want) > 0.5 {
			t.Errorf("%s: %.2f dB, want %.2f", c.name, got, c.want)
		}
	}
}
