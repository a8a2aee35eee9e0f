package page

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// The references of a library are all that are released, whatever their tempo,
// and their figures those of all; the median is held against gonum's.
func TestTheReferencesOfALibrary(t *testing.T) {
	tracks := madeup.Tracks(41)
	check := func(name string, want []int64) {
		t.Helper()
		g := newGroups(these(tracks), Options{})
		var got []int64
		var levels []float64
		for _, x := range g.tracks {
			got = append(got, x.ID)
			levels = append(levels, float64(x.Loudness.Loudest30sLUFS))
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: references %v, want %v", name, got, want)
		}
		slices.Sort(levels)
		s := g.stats[standout.Level]
		if m := stat.Quantile(0.5, stat.Empirical, levels, nil); s.N != len(want) || math.Abs(float64(s.Median)-m) > 1e-9 {
			t.Errorf("%s: %d references about %v, want %d about %v", name, s.N, s.Median, len(want), m)
		}
	}
	var released []int64
	for i := range tracks {
		if tracks[i].Status == library.Released {
			released = append(released, tracks[i].ID)
		}
	}
	if len(released)%2 == 0 {
		t.Fatal("an even count: the median is not one of the figures")
	}
	check("released", released)
	tracks[5].Marks.Reference, tracks[7].Marks.Reference, tracks[3].Marks.Reference = true, true, true
	check("named by hand", []int64{4, 6, 8})
	tracks = tracks[:4] // three released: too few for verdicts, still drawn
	tracks[3].Marks.Reference = false
	check("few", []int64{1, 2, 3})
}
