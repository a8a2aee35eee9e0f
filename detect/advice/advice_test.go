package advice

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/loudness"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// music is a spectrum of -4.5 dB an octave above 60 Hz with a level of -8 LUFS.
func music() detect.Spectrum {
	s := detect.Spectrum{CentreHz: spectrum.Centres[:], BandwidthHz: 20000}
	for _, hz := range spectrum.Centres {
		s.LoudestDB = append(s.LoudestDB, detect.Value(-14-4.5*math.Abs(math.Log2(hz/60))/1.5))
	}
	return s
}

// loud is the loudness of a spectrum but for a constant, dB.
func loud(s detect.Spectrum) float64 {
	sum := 0.0
	for b := firstBand; b <= lastBand; b++ {
		sum += math.Pow(10, float64(s.LoudestDB[b])/10) * loudness.Weight(spectrum.Exact(b))
	}
	return 10 * math.Log10(sum)
}

// bent is music with filters on it, as loud as it was, and a gain of all.
func bent(gain float64, shapes ...shape) detect.Spectrum {
	s := music()
	was := loud(s)
	defer func() {
		more := detect.Value(loud(s) - was - gain)
		for b := range s.LoudestDB {
			s.LoudestDB[b] -= more
		}
	}()
	for b := range s.LoudestDB {
		s.LoudestDB[b] += detect.Value(gain)
		for _, f := range shapes {
			t := f.tuned()
			s.LoudestDB[b] += detect.Value(t.over(b))
		}
	}
	return s
}

// group is n references that differ by sd dB in each band.
func group(n int, sd float64) (spectra []detect.Spectrum, levels []detect.Value) {
	r := rand.New(rand.NewPCG(uint64(n), 7))
	for range n {
		s := music()
		for b := range s.LoudestDB {
			s.LoudestDB[b] += detect.Value(sd * r.NormFloat64())
		}
		spectra, levels = append(spectra, s), append(levels, -8)
	}
	return spectra, levels
}

func low(hz, dB float64) shape     { return shape{reason.LowShelf, dB, math.Log2(hz), 1} }
func high(hz, dB float64) shape    { return shape{reason.HighShelf, dB, math.Log2(hz), 1} }
func bell(hz, dB, q float64) shape { return shape{reason.Bell, dB, math.Log2(hz), q} }

// TestShapes evaluates the responses at the frequencies where the cookbook says what
// they are: a bell's gain at its middle; half a shelf's in dB at its corner, all of it on
// its side, none on the other.
func TestShapes(t *testing.T) {
	for _, c := range []struct {
		shape shape
		hz    float64
		want  float64
	}{
		{bell(1000, 6, 1), 1000, 6}, {bell(1000, -6, 3), 1000, -6}, {bell(1000, 6, 1), 20, 0}, {bell(1000, 6, 1), 20000, 0},
		{low(100, 6), 100, 3}, {low(100, -8), 100, -4}, {low(100, 6), 5, 6}, {low(100, 6), 5000, 0},
		{high(5000, 6), 5000, 3}, {high(5000, -6), 100, 0}, {high(2000, -6), 20000, -6},
		// Half the gain of a bell of Q lies where |x - 1/x| = 1/Q, warped frequencies: at
		// 100 Hz the warping is nothing. x = 1/(2 Q) + sqrt(1/(4 Q^2) + 1).
		{bell(100, 6, 2), 100 * (0.25 + math.Sqrt(0.0625+1)), 3}, {bell(100, 9, 0.7), 100 * (1/1.4 + math.Sqrt(1/1.96+1)), 4.5},
	} {
		if got := c.shape.at(c.hz); math.Abs(got-c.want) > 0.02 {
			t.Errorf("%+v at %.1f Hz: %.3f dB, want %.3f", c.shape, c.hz, got, c.want)
		}
	}
	// The bilinear transform squeezes what lies near half the rate: a shelf at 10 kHz
	// has at 16 kHz what its prototype has at 10 kHz * tan(pi 16/44.1)/tan(pi 10/44.1).
	x := math.Tan(math.Pi*16/44.1) / math.Tan(math.Pi*10/44.1)
	want := high(100, 6).at(100 * x)
	if got := high(10000, 6).at(16000); math.Abs(got-want) > 0.02 {
		t.Errorf("high shelf at 16 kHz: %.3f dB, want %.3f", got, want)
	}
	// A narrow bell does less to its third octave than at its middle: the mean power of
	// 500 points of the band.
	p, n := 0.0, 500
	for i := range n {
		p += math.Pow(10, bell(1000, 9, 4.3).at(1000*math.Pow(10, (float64(i)+0.5)/float64(n)/10-0.05))/10)
	}
	tuned := bell(1000, 9, 4.3).tuned()
	if got, want := tuned.over(17), 10*math.Log10(p/float64(n)); math.Abs(got-want) > 0.1 {
		t.Errorf("bell over its band: %.2f dB, want %.2f", got, want)
	}
}

// near tells whether the moves take these filters back: each in a third octave, 0.3 dB.
func near(t *testing.T, a Advice, planted ...shape) {
	t.Helper()
	if len(a.Moves) != len(planted) {
		t.Errorf("planted %v, advised %+v", planted, a.Moves)
		return
	}
	for _, p := range planted {
		found := false
		for _, m := range a.Moves {
			found = found || (m.Filter == p.filter && math.Abs(math.Log2(float64(m.Hz))-p.octave) < 0.33 && math.Abs(float64(m.DB)+p.dB) < 0.3)
		}
		if !found {
			t.Errorf("planted %+v, advised %+v", p, a.Moves)
		}
	}
}

// TestFold plants filters in a spectrum; the level is left open, so that a gain of all
// is no move, with it or alone.
func TestFold(t *testing.T) {
	spectra, levels := group(12, 0)
	for _, gain := range []float64{0, 1} {
		for _, planted := range [][]shape{
			{}, {low(60, -6)}, {low(60, 6)}, {low(60, -3)}, {bell(120, 4, 1)}, {bell(300, -4, 0.7)}, {bell(3000, 5, 1.5)},
			{high(10000, -4)}, {high(8000, 4)}, {low(60, -6), high(10000, 4)}, {low(60, 4), bell(400, -4, 0.7)},
			{bell(120, 4, 1), bell(3000, -4, 1)}, {low(50, 5), bell(600, -4, 1), high(11000, 4)},
			{bell(2500, 7, 4)}, {low(100, -12)},
		} {
			near(t, Of(bent(gain, planted...), -8, spectra, levels), planted...)
		}
	}
	if a := Of(bent(20, low(60, 5)), 12, spectra, levels); len(a.Moves) != 1 {
		t.Errorf("20 dB louder: %+v", a.Moves)
	}
}

// TestOnlyWhatStandsOut: no move for what lies inside the range of the references, nor
// for less than 1.5 dB; the same filters beside references that agree are moves.
func TestOnlyWhatStandsOut(t *testing.T) {
	wide, levels := group(20, 4)
	if a := Of(bent(0, bell(300, 3, 0.7)), -8, wide, levels); len(a.Moves) != 0 {
		t.Errorf("3 dB among references that differ by 4: %+v", a.Moves)
	}
	same, levels := group(20, 0.3)
	if a := Of(bent(0, bell(300, 3, 0.7)), -8, same, levels); len(a.Moves) != 1 {
		t.Errorf("3 dB among references that differ by 0.3: %+v", a.Moves)
	}
	if a := Of(bent(0, bell(300, 1.3, 0.7)), -8, same, levels); len(a.Moves) != 0 {
		t.Errorf("1.3 dB is advised: %+v", a.Moves)
	}
}

// TestNeverOverTwelve: no move is larger than what is ever advised, and no more than four.
func TestNeverOverTwelve(t *testing.T) {
	spectra, levels := group(12, 0.5)
	r := rand.New(rand.NewPCG(5, 6))
	for range 60 {
		s := music()
		for b := range s.LoudestDB {
			s.LoudestDB[b] += detect.Value(20 * r.NormFloat64())
		}
		a := Of(s, -8, spectra, levels)
		if len(a.Moves) > 4 { // as the issue of advice has it
			t.Errorf("%d moves", len(a.Moves))
		}
		for hz := 30.0; hz < 16000; hz *= 1.1 {
			sum := 0.0
			for _, m := range a.Moves {
				sum += m.At(hz)
			}
			if math.Abs(sum) > reason.MaxAdvice+4 { // slopes of neighbours may meet
				t.Errorf("%.1f dB at %.0f Hz by %+v", sum, hz, a.Moves)
				break
			}
		}
		for _, m := range a.Moves {
			l := limits[m.Filter]
			if math.Abs(float64(m.DB)) > reason.MaxAdvice || math.Abs(float64(m.DB)) < Least || float64(m.Hz) < l.from-0.1 || float64(m.Hz) > l.to+0.1 {
				t.Errorf("advised %+v", m)
			}
		}
	}
}

// TestNoMoreThanFour: of five bells the four largest are taken back.
func TestNoMoreThanFour(t *testing.T) {
	spectra, levels := group(12, 0)
	a := Of(bent(0, bell(55, 8, 2), bell(190, -8, 2), bell(700, 8, 2), bell(2400, -8, 2), bell(8500, 4, 2)), -8, spectra, levels)
	if len(a.Moves) != 4 || a.Moves[3].Hz > 3000 {
		t.Errorf("%+v", a.Moves)
	}
}

// TestCounts: what is outside before and behind, and what remains, are counted by the
// lists that are given; a peak that four filters cannot reach remains.
func TestCounts(t *testing.T) {
	spectra, levels := group(12, 1)
	s := bent(0, low(80, 8), high(6000, -6))
	s.LoudestDB[12] += 1.4 // 315 Hz: one band alone, too little for a move
	s.LoudestDB[14] -= 2.9
	a := Of(s, -8, spectra, levels)
	before, after, bands := 0, 0, 0
	for b := range a.OffDB {
		if !a.OffDB[b].Exists() {
			continue
		}
		bands++
		in := func(v detect.Value) bool { return v <= a.HighDB[b]+0.05 && v >= a.LowDB[b]-0.05 }
		if in(a.OffDB[b]) {
			before++
		}
		if in(a.LeftDB[b]) {
			after++
		}
	}
	if before != a.InsideBefore || after != a.InsideAfter || bands != a.Bands || bands != lastBand-firstBand+1 {
		t.Errorf("%d, %d of %d; counted %d, %d of %d", a.InsideBefore, a.InsideAfter, a.Bands, before, after, bands)
	}
	if before > 15 || after < 26 {
		t.Errorf("%d bands inside before, %d behind the moves", before, after)
	}
	found := false
	for _, r := range a.Rest {
		found = found || (r.FromHz <= 500 && r.ToHz >= 500 && r.OffDB <= -1 && r.ToHz < 1000)
		if math.Abs(float64(r.OffDB)) < worthARest {
			t.Errorf("%+v is named", r)
		}
	}
	if !found {
		t.Errorf("the hole at 500 Hz does not remain: %+v, moves %+v", a.Rest, a.Moves)
	}
}

// TestBandsThatDoNotCount: a band above the track's own bandwidth, the lowest and the
// highest, and what lies 60 dB under the rest are no business of an equaliser.
func TestBandsThatDoNotCount(t *testing.T) {
	spectra, levels := group(12, 0.5)
	s := music()
	s.LoudestDB[0] += 30
	s.LoudestDB[30] -= 40
	s.LoudestDB[29] -= 35 // 16 kHz, cut
	s.BandwidthHz = 15900
	a := Of(s, -8, spectra, levels)
	if len(a.Moves) != 0 || len(a.Rest) != 0 || a.OffDB[29].Exists() || a.OffDB[0].Exists() || a.OffDB[30].Exists() {
		t.Errorf("%+v, remains %+v", a.Moves, a.Rest)
	}
	s.BandwidthHz = 20000
	if a := Of(s, -8, spectra, levels); !a.OffDB[29].Exists() {
		t.Error("16 kHz takes no part although the track has it")
	}
	for i := range spectra {
		spectra[i].LoudestDB[29] = -14 - 61
	}
	if a := Of(s, -8, spectra, levels); a.OffDB[29].Exists() {
		t.Error("a band 61 dB under the others takes part")
	}
}

// TestTooFew: four references have no range, and it is said; five have.
func TestTooFew(t *testing.T) {
	for n, want := range map[int]string{0: "None: 0 references", 4: "None: 4 references to hold its spectrum against, and it takes 5.",
		5: "By 5 references, which are few", 8: "By 8 references."} {
		spectra, levels := group(n, 0.5)
		spectra, levels = append(spectra, detect.Spectrum{}, music()), append(levels, -8, detect.None) // which do not count
		a := Of(bent(0, low(60, -6)), -8, spectra, levels)
		if said := strings.Join(a.Sentences(false), " "); !strings.Contains(said, want) || (len(a.Moves) > 0) != (n >= 5) {
			t.Errorf("%d references: %s", n, said)
		}
	}
	spectra, levels := group(9, 0.5)
	if a := Of(music(), detect.None, spectra, levels); len(a.Moves) != 0 || a.Bands != 0 {
		t.Errorf("a track without a level: %+v", a)
	}
}

// BenchmarkOf advises on a track beside 60 references, as the page does for each.
func BenchmarkOf(b *testing.B) {
	spectra, levels := group(60, 1.5)
	r := rand.New(rand.NewPCG(1, 9))
	own := bent(0, low(60, -6), bell(400, 3, 1))
	for i := range own.LoudestDB {
		own.LoudestDB[i] += detect.Value(1.5 * r.NormFloat64())
	}
	b.ReportAllocs()
	for b.Loop() {
		Of(own, -8, spectra, levels)
	}
}
