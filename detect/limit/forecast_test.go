package limit_test

import (
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"dubgauge/decode"
	"dubgauge/decode/need"
	"dubgauge/detect/limit"
	"dubgauge/detect/loudness"
	"dubgauge/detect/truepeak"
)

// track is audio with its meters.
type track struct {
	rate int
	x    [][]float32
	loud *loudness.Meter
	peak *truepeak.Meter
}

// blocks hands x on as a decoder does.
func blocks(x [][]float32, write func([][]float32)) {
	part := make([][]float32, len(x))
	for from := 0; from < len(x[0]); from += 4096 {
		for c := range x {
			part[c] = x[c][from:min(from+4096, len(x[c]))]
		}
		write(part)
	}
}

func measured(rate int, x [][]float32) track {
	t := track{rate, x, loudness.New(rate, loudness.Weights(len(x), 0)), truepeak.New(rate, len(x))}
	blocks(x, t.loud.Write)
	blocks(x, t.peak.Write)
	return t
}

func (t track) forecast() (limit.Forecast, bool) {
	levels := t.peak.Levels()
	steps, perSecond := t.loud.Steps()
	return limit.Expect(&levels, float64(levels.Cell)/float64(t.rate), math.Pow(10, t.peak.Result().TruePeak/20), limit.Energies{Step: steps, PerSecond: perSecond})
}

// limited is what the limiter itself does at a gain over the ceiling.
func (t track) limited(over float64) (loss float64, r limit.Reduction) {
	const ceiling = -1
	gain := over + ceiling - t.peak.Result().TruePeak
	after := loudness.New(t.rate, loudness.Weights(len(t.x), 0))
	l := limit.New(t.rate, len(t.x), gain, ceiling, after.Write)
	blocks(t.x, l.Write)
	l.End()
	return t.loud.Result().Loudest30 + gain - after.Result().Loudest30, l.Reduction()
}

// errorsOf collects how far forecasts lie from the limiter.
type errorsOf struct{ loss, p95, over2 []float64 }

func (e *errorsOf) add(t *testing.T, name string, x track) {
	f, ok := x.forecast()
	if !ok {
		t.Errorf("%s: no forecast", name)
		return
	}
	for _, over := range []float64{3, 8} {
		loss, r := x.limited(over)
		row := f.Rows[slices.Index(limit.OverDBs[:], over)]
		e.loss, e.p95, e.over2 = append(e.loss, row.LossLU-loss), append(e.p95, row.P95DB-r.P95DB), append(e.over2, row.Over2-r.Over2)
		t.Logf("%s at %+.0f dB: loss %.2f, forecast %.2f; 95 %% under %.2f, %.2f; over 2 dB %.3f, %.3f", name, over, loss, row.LossLU, r.P95DB, row.P95DB, r.Over2, row.Over2)
	}
}

// within wants 95 % of the errors, either way, under a limit.
func within(t *testing.T, name string, errors []float64, most float64) {
	t.Helper()
	size := make([]float64, len(errors))
	for i, e := range errors {
		size[i] = math.Abs(e)
	}
	slices.Sort(size)
	at := size[int(math.Ceil(0.95*float64(len(size))))-1]
	t.Logf("%s: 95 %% of %d within %.3f, the worst %.3f", name, len(size), at, size[len(size)-1])
	if at > most {
		t.Errorf("%s: 95 %% within %.3f, want %.3f", name, at, most)
	}
}

// groove is a kick, a bass and hats; each gets louder in the second half by more dB.
func groove(rate int, seconds, louder float64) [][]float32 {
	r := rand.New(rand.NewPCG(3, 3))
	n := int(seconds * float64(rate))
	out := [][]float32{make([]float32, n), make([]float32, n)}
	for i := range n {
		t := float64(i) / float64(rate)
		in := math.Mod(t, 60.0/128)
		v := 0.5*math.Exp(-in*12)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + 0.2*math.Sin(2*math.Pi*55*t)
		v += 0.08 * math.Exp(-math.Mod(t+0.234, 0.46875)*40) * r.NormFloat64()
		if t > seconds/2 {
			v *= math.Pow(10, louder/20)
		}
		out[0][i], out[1][i] = float32(v), float32(0.9*v)
	}
	return out
}

// The errors that the forecast is allowed: what a trim is rounded to, twice, in loudness,
// and what is not heard of a reduction.
const (
	lossWithin  = 0.2  // LU
	p95Within   = 0.3  // dB
	over2Within = 0.05 // share of the time
)

func TestForecastOfMadeUpTracks(t *testing.T) {
	var e errorsOf
	for _, rate := range []int{44100, 48000, 96000} {
		e.add(t, "groove", measured(rate, groove(rate, 16, 3)))
	}
	within(t, "loss, LU", e.loss, lossWithin)
	within(t, "95th percentile, dB", e.p95, p95Within)
	within(t, "share over 2 dB", e.over2, over2Within)
}

// coarse are levels in cells so many times as long, as a set of hours has them.
type coarse struct {
	limit.Levels
	times int
}

func (c coarse) Len() int         { return c.Levels.Len() / c.times }
func (c coarse) At(i int) float32 { return c.most(i, c.Levels.At) }

func (c coarse) Sample(i int) float32 { return c.most(i, c.Levels.Sample) }

func (c coarse) most(i int, of func(int) float32) (v float32) {
	for k := range c.times {
		v = max(v, of(i*c.times+k))
	}
	return v
}

// TestForecastOfSets: cells of four times the length, as those of two hours at 44.1 kHz are,
// leave the forecast within the same errors.
func TestForecastOfSets(t *testing.T) {
	const cells = 4
	var e errorsOf
	for _, louder := range []float64{0, 3} {
		x := measured(44100, groove(44100, 40, louder))
		levels := x.peak.Levels()
		steps, perSecond := x.loud.Steps()
		f, ok := limit.Expect(coarse{&levels, cells}, cells*float64(levels.Cell)/44100, math.Pow(10, x.peak.Result().TruePeak/20), limit.Energies{Step: steps, PerSecond: perSecond})
		if !ok {
			t.Fatal("no forecast")
		}
		for _, over := range []float64{3, 8} {
			loss, r := x.limited(over)
			row := f.Rows[slices.Index(limit.OverDBs[:], over)]
			e.loss, e.p95, e.over2 = append(e.loss, row.LossLU-loss), append(e.p95, row.P95DB-r.P95DB), append(e.over2, row.Over2-r.Over2)
			t.Logf("%+.0f dB: loss %.2f, forecast %.2f; 95 %% under %.2f, %.2f; over 2 dB %.3f, %.3f", over, loss, row.LossLU, r.P95DB, row.P95DB, r.Over2, row.Over2)
		}
	}
	within(t, "loss, LU", e.loss, lossWithin)
	within(t, "95th percentile, dB", e.p95, p95Within)
	within(t, "share over 2 dB", e.over2, over2Within)
}

// TestForecastOnTheDevelopmentSet takes 20 s of each piece, from 20 s on; with DUBGAUGE_TABLE
// a minute.
func TestForecastOnTheDevelopmentSet(t *testing.T) {
	if testing.Short() {
		t.Skip("limits 8 minutes of audio; run without -short")
	}
	files, err := filepath.Glob(filepath.Join(need.Checks(t), "music", "*.mp3"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%d pieces, error %v", len(files), err)
	}
	seconds := 20
	if os.Getenv("DUBGAUGE_TABLE") != "" {
		seconds = 60
	}
	var e errorsOf
	for _, f := range files {
		s, err := decode.Open(context.Background(), f)
		if err != nil {
			t.Fatal(err)
		}
		rate := s.Info().SampleRate
		if err := decode.SeekTo(s, int64(20*rate)); err != nil {
			t.Fatal(err)
		}
		x, block := make([][]float32, s.Info().Channels), make([][]float32, s.Info().Channels)
		for c := range block {
			block[c] = make([]float32, 4096)
		}
		for err == nil && len(x[0]) < seconds*rate {
			var n int
			n, err = s.Read(block)
			for c := range x {
				x[c] = append(x[c], block[c][:n]...)
			}
		}
		s.Close()
		e.add(t, filepath.Base(f), measured(rate, x))
	}
	within(t, "loss, LU", e.loss, lossWithin)
	within(t, "95th percentile, dB", e.p95, p95Within)
	within(t, "share over 2 dB", e.over2, over2Within)
}

// TestForecastWhere: the part that is limited most, and silence.
func TestForecastWhere(t *testing.T) {
	x := groove(44100, 20, 0)
	for i := 8 * 44100; i < 9*44100; i++ {
		x[0][i] *= 2
		x[1][i] *= 2
	}
	f, ok := measured(44100, x).forecast()
	if at := f.Rows[3].AtS; !ok || math.Abs(at-8) > 0.5 {
		t.Errorf("most at %.2f s, want 8", at)
	}
	if f, ok := measured(44100, [][]float32{make([]float32, 44100)}).forecast(); ok {
		t.Errorf("a forecast of silence: %+v", f)
	}
	if _, ok := measured(44100, [][]float32{{}}).forecast(); ok {
		t.Error("a forecast of nothing")
	}
}

// TestFlatTops: music has peaks of all heights; the same driven into the limiter touches
// its top with every kick, and into a clipper nearly all the time.
func TestFlatTops(t *testing.T) {
	share := func(x [][]float32) float64 {
		f, _ := measured(44100, x).forecast()
		return f.FlatShare
	}
	clean := groove(44100, 20, 0)
	clipped := groove(44100, 20, 0)
	for _, ch := range clipped {
		for i, v := range ch {
			ch[i] = max(-0.2, min(0.2, v))
		}
	}
	limited := [][]float32{nil, nil}
	l := limit.New(44100, 2, 9, -0.3, func(b [][]float32) {
		for c := range b {
			limited[c] = append(limited[c], b[c]...)
		}
	})
	blocks(clean, l.Write)
	l.End()
	a, b, c := share(clean), share(clipped), share(limited)
	if !(a < 0.002 && b > 0.2 && c > 4*a && c < 0.1) {
		t.Errorf("clean %.3f, clipped %.3f, limited %.3f", a, b, c)
	}
}
