package advice

import (
	"math"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// sided is music whose difference lies so many dB under its sum in each band.
func sided(under func(band int) float64) detect.Spectrum {
	s := music()
	for b, v := range s.LoudestDB {
		r := math.Pow(10, -under(b)/10)
		s.MidDB = append(s.MidDB, v-detect.Value(10*math.Log10(1+r)))
		s.SideDB = append(s.SideDB, v+detect.Value(10*math.Log10(r/(1+r))))
	}
	return s
}

// wide are n references from 8 to 10 dB under.
func wide(n int) (spectra []detect.Spectrum, levels []detect.Value) {
	for i := range n {
		under := 8 + 2*float64(i)/float64(n-1)
		spectra, levels = append(spectra, sided(func(int) float64 { return under })), append(levels, -8)
	}
	return spectra, levels
}

// What nobody hears is neither wide nor narrow: dither is as wide as it can be.
func TestUnheardSides(t *testing.T) {
	spectra, levels := wide(9)
	for _, c := range []struct {
		under detect.Value
		want  string
	}{{59.9, "From 2 kHz to 5 kHz your sides are 6.0 dB wider"}, {60.1, "As wide as your references."}} {
		own := sided(func(b int) float64 {
			if b >= 20 && b <= 24 {
				return 3
			}
			return 9
		})
		for b := 20; b <= 24; b++ {
			own.LoudestDB[b] = -8 - c.under
		}
		if got := strings.Join(SidesOf(2, own, -8, spectra, levels).Sentences(9), " "); !strings.HasPrefix(got, c.want) {
			t.Errorf("%v dB under: %s, want %s", c.under, got, c.want)
		}
	}
}

// TestSides: what is wider or narrower than the references is named with its bands, by
// how much and what to do.
func TestSides(t *testing.T) {
	spectra, levels := wide(9)
	for _, c := range []struct {
		name  string
		under func(band int) float64
		want  string
	}{
		{"as they", func(int) float64 { return 9 }, "As wide as your references."},
		{"wider", func(b int) float64 {
			if b >= 20 && b <= 24 {
				return 3
			}
			return 9
		}, "From 2 kHz to 5 kHz your sides are 6.0 dB wider than your references: take about 6.0 dB off the side channel there, and listen in mono."},
		{"narrower", func(b int) float64 {
			if b >= 20 {
				return 14
			}
			return 9
		}, "From 2 kHz to 16 kHz your sides are 5.0 dB narrower than your references: about 5.0 dB more on the side channel there, if it is meant to be wide."},
		{"upside down", func(b int) float64 {
			if b <= 8 {
				return -30
			}
			return 9
		}, "From 25 Hz to 125 Hz your sides are more than 12 dB wider than your references: sum that part to mono, or look for a channel that is upside down."},
		{"one band alone", func(b int) float64 {
			if b == 20 {
				return 3
			}
			return 9
		}, "As wide as your references."},
		{"a little wider than they", func(b int) float64 { return 6.5 }, "As wide as your references."},
	} {
		s := SidesOf(2, sided(c.under), -8, spectra, levels)
		if got := strings.Join(s.Sentences(9), " "); got != c.want {
			t.Errorf("%s: %s\nwant %s", c.name, got, c.want)
		}
		if len(c.want) > 30 && len(s.Runs) != 1 {
			t.Errorf("%s: %+v", c.name, s.Runs)
		}
	}
}

// TestSidesNotHeard: a difference between 20 and 30 dB under is not heard as width.
func TestSidesNotHeard(t *testing.T) {
	var spectra []detect.Spectrum
	var levels []detect.Value
	for i := range 9 {
		spectra, levels = append(spectra, sided(func(int) float64 { return 29 + float64(i)/4 })), append(levels, -8)
	}
	for _, under := range []float64{20, 39} {
		if s := SidesOf(2, sided(func(int) float64 { return under }), -8, spectra, levels); len(s.Runs) != 0 {
			t.Errorf("%g dB under, where the references are 30: %+v", under, s.Runs)
		}
	}
}

// TestSidesFigures: the loss in mono, and sum and difference against those of the
// references once levels match.
func TestSidesFigures(t *testing.T) {
	spectra, levels := wide(9)
	own := sided(func(int) float64 { return 0 }) // equal powers: unrelated channels
	for b := range own.MidDB {
		own.LoudestDB[b], own.MidDB[b], own.SideDB[b] = own.LoudestDB[b]+4, own.MidDB[b]+4, own.SideDB[b]+4
	}
	s := SidesOf(2, own, -4, spectra, levels)
	// Unrelated channels lose half of their power. Theirs, 9 dB under: mid is 10 log10 of
	// 1/(1+10^-0.9), side is 9 dB less; of ours both are 1/2.
	mid := 10 * math.Log10(1/(1+math.Pow(10, -0.9)))
	for b := range s.WidthDB {
		for _, c := range []struct {
			name      string
			got, want float64
		}{
			{"width", float64(s.WidthDB[b]), 0}, {"loss", float64(s.LossDB[b]), -3.0103}, {"median", float64(s.MedianDB[b]), -9},
			{"mid", float64(s.MidOffDB[b]), -3.0103 - mid}, {"side", float64(s.SideOffDB[b]), -3.0103 - (mid - 9)},
		} {
			if math.Abs(c.got-c.want) > 0.001 {
				t.Errorf("band %d: %s %.4f, want %.4f", b, c.name, c.got, c.want)
			}
		}
	}
}

// TestLoss: a difference 9 dB under the sum takes 10 log10 (1 + 10^-0.9) = 0.51 dB.
func TestLoss(t *testing.T) {
	spectra, levels := wide(9)
	s := SidesOf(2, sided(func(int) float64 { return 9 }), -8, spectra, levels)
	if len(s.LossDB) != 31 || math.Abs(float64(s.LossDB[12])+0.5149) > 0.001 {
		t.Errorf("%v", s.LossDB)
	}
}

// TestSidesMissing: records of before the channels were compared are named as such, as
// are references without; one channel has no width; equal channels have none at all.
func TestSidesMissing(t *testing.T) {
	spectra, levels := wide(9)
	if s := SidesOf(1, music(), -8, spectra, levels); s != nil || len(s.Sentences(9)) != 0 {
		t.Errorf("one channel: %+v", s)
	}
	s := SidesOf(2, music(), -8, spectra, levels)
	if said := strings.Join(s.Sentences(9), " "); !strings.Contains(said, "measure the file anew") {
		t.Error(said)
	}
	for i := range spectra[:5] {
		spectra[i] = music()
	}
	s = SidesOf(2, sided(func(int) float64 { return 3 }), -8, spectra, levels)
	if said := strings.Join(s.Sentences(9), " "); said != "4 of 9 references have figures of their width, and it takes 5: measure them anew." || len(s.Runs) != 0 {
		t.Error(said)
	}
	if said := strings.Join(s.Sentences(4), " "); !strings.Contains(said, "it takes 5") || strings.Contains(said, "anew") {
		t.Error(said)
	}
	spectra, levels = wide(9)
	equal := music()
	equal.MidDB = equal.LoudestDB
	for range equal.MidDB {
		equal.SideDB = append(equal.SideDB, detect.None)
	}
	if s := SidesOf(2, equal, -8, spectra, levels); len(s.Runs) != 1 || s.Runs[0].OffDB > -25 {
		t.Errorf("equal channels: %+v", s.Runs)
	}
	if s := SidesOf(2, sided(func(int) float64 { return 3 }), -8, []detect.Spectrum{{}, {}, {}, {}, {}}, levels[:5]); len(s.Runs) != 0 {
		t.Errorf("references without spectra: %+v", s)
	}
}

// TestShortRecords: records from elsewhere with fewer bands are held against as far as
// they go.
func TestShortRecords(t *testing.T) {
	spectra, levels := wide(9)
	for i := range spectra {
		s := &spectra[i]
		s.LoudestDB, s.MidDB, s.SideDB = s.LoudestDB[:15], s.MidDB[:15], s.SideDB[:15]
	}
	own := sided(func(int) float64 { return 3 })
	s := SidesOf(2, own, -8, spectra, levels)
	if len(s.Runs) != 1 || s.Runs[0].ToHz != 500 {
		t.Errorf("%+v", s.Runs)
	}
	if a := Of(own, -8, spectra, levels); a.Bands != 14 {
		t.Errorf("%d bands", a.Bands)
	}
}

// TestOddRecords: figures that nobody measured, as in records from elsewhere, bring no
// panic and no move of more than is ever advised.
func TestOddRecords(t *testing.T) {
	odd := []detect.Value{detect.None, 1e300, -1e300, 0, 400, -400, -30}
	for i := range 400 {
		own := sided(func(int) float64 { return 9 })
		spectra, levels := wide(9)
		for b := range own.LoudestDB {
			v := odd[(i*7+b*(i%5+1))%len(odd)]
			if i%3 == 0 {
				own.LoudestDB[b] = v
			}
			if i%3 == 1 {
				own.SideDB[b], spectra[i%9].LoudestDB[b] = v, v
			}
			if i%3 == 2 {
				own.MidDB[b], spectra[i%9].MidDB[b], levels[i%9] = v, v, v
			}
		}
		a := Of(own, odd[i%len(odd)], spectra, levels, Said{reason.Bell, 350, 4})
		a.Sides = SidesOf(2, own, odd[i%len(odd)], spectra, levels)
		for _, m := range a.Moves {
			if !(math.Abs(float64(m.DB)) <= reason.MaxAdvice) || !m.Hz.Exists() {
				t.Errorf("%d: %+v", i, m)
			}
		}
		for _, s := range append(a.Sentences(true), a.Sides.Sentences(9)...) {
			if strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
				t.Errorf("%d: %s", i, s)
			}
		}
	}
}
