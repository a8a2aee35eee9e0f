package main

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect"
)

// Songs of one standard deviation in each figure: 3 dB less level, of which clean ones differ by 0.7 dB,
// is found nearly always, nothing at all in as many as are flagged of clean ones, and a defect that
// only the peaks show by the observer alone that sees them.
func TestAmongSongs(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	b := &bench{spoilt: map[Spec][]*Record{}}
	for seed := range uint64(80) {
		clean := scattered(r, "house", seed, 1)
		clean.Measurement.Limiting = &detect.Limiting{FlatShare: 0.06 * detect.Value(math.Exp(0.2*r.NormFloat64()))}
		clean.Measurement.Peak.TruePeakDBTP, clean.Measurement.Peak.SamplePeakDBFS = detect.Value(0.3*r.NormFloat64()), -0.3
		for _, d := range []struct {
			name        string
			level, flat detect.Value
		}{{"gain -3", -3, 1}, {"high shelf 8 kHz -4 (mix)", 0, 1}, {"low shelf 100 Hz -4 (master)", 0, 0.2}} {
			x := *clean
			x.Spec.Defect = d.name
			x.Measurement.Loudness.Loudest30sLUFS += d.level
			x.Measurement.Limiting = &detect.Limiting{FlatShare: clean.Measurement.Limiting.FlatShare * d.flat}
			b.spoilt[clean.Spec] = append(b.spoilt[clean.Spec], &x)
		}
		b.songs = append(b.songs, clean)
	}
	plain, peaks := amongSongs(b, 15, balanceView), amongSongs(b, 15, peaksView)
	for _, c := range []struct {
		defect      string
		got         float64
		least, most float64
	}{
		{"gain -3", plain["gain -3"], 0.85, 1},
		{"nothing", plain["high shelf 8 kHz -4 (mix)"], 0.045, 0.055},
		{"flat tops, unseen", plain["low shelf 100 Hz -4 (master)"], 0.045, 0.055},
		{"flat tops, seen", peaks["low shelf 100 Hz -4 (master)"], 0.95, 1},
	} {
		if !(c.got >= c.least && c.got <= c.most) {
			t.Errorf("%s: %.3f found, want %g to %g", c.defect, c.got, c.least, c.most)
		}
	}
	if few := amongSongs(b, 5, balanceView)["gain -3"]; few > plain["gain -3"]+0.03 {
		t.Errorf("with fewer references more is found: %.3f, %.3f", few, plain["gain -3"])
	}
	b.songs[0].Measurement.Limiting = nil
	if got := amongSongs(b, 15, peaksView); got["gain -3"] < 0.85 {
		t.Errorf("one song without peaks: %.3f found", got["gain -3"])
	}
	few := amongSongs(&bench{songs: b.songs[:12], spoilt: b.spoilt}, 15, balanceView)
	if got := foundOf(few, "gain -3"); got != "-" || foundOf(map[string]float64{"gain -3": 0.05}, "gain -3") != "5" {
		t.Errorf("of 12 songs %q are found", got)
	}
	if amongSongs(&bench{}, 15, balanceView) != nil {
		t.Error("of no songs something is found")
	}
}
