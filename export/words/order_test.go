package words

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

func TestSort(t *testing.T) {
	a, b, c, d := madeup.Track(1, "d.wav", -7.5), madeup.Track(2, "c.wav", -3), madeup.Track(3, "b.wav", -9), madeup.Track(4, "a.wav", -7)
	d.MismatchDB, d.Verdict = detect.None, standout.Unreadable
	a.Verdict = standout.HoldBack
	a.Tags.Title, a.Tags.Artist = "zebra", "Aunt"
	a.Measurement.Tempo.BPM, b.Measurement.Tempo.BPM = 174, 90
	c.Deviations = []standout.Deviation{{Quantity: standout.Sub, DB: -6}, {Quantity: standout.LowEnd, DB: 1}}
	b.Deviations = []standout.Deviation{{Quantity: standout.Sub, DB: 5}, {Quantity: standout.LowEnd, DB: 3}}
	for _, x := range []struct {
		key  SortKey
		want []int64
	}{
		{ByMismatch, []int64{2, 3, 1, 4}}, {ByQuiet, []int64{3, 1, 2, 4}}, {ByLoud, []int64{2, 1, 3, 4}}, {ByLow, []int64{2, 3, 4, 1}}, {BySub, []int64{3, 2, 4, 1}},
		{ByName, []int64{4, 1, 3, 2}}, {ByTempo, []int64{2, 1, 4, 3}}, {ByVerdict, []int64{4, 1, 2, 3}},
	} {
		list := []library.Track{a, b, c, d}
		Sort(list, x.key)
		var got []int64
		for _, t := range list {
			got = append(got, t.ID)
		}
		if d := cmp.Diff(x.want, got); d != "" {
			t.Errorf("by %s (-want +got):\n%s", x.key, d)
		}
	}
	// Within a verdict what is furthest past its cut-off, whatever the level.
	b.Past, c.Past = 1.2, 3
	list := []library.Track{a, b, c, d}
	Sort(list, ByVerdict)
	if got := []int64{list[0].ID, list[1].ID, list[2].ID, list[3].ID}; !cmp.Equal(got, []int64{4, 1, 3, 2}) {
		t.Errorf("by verdict and cut-off: %v", got)
	}
	c.Past = 1.2 // then the level
	list = []library.Track{c, b}
	if Sort(list, ByVerdict); list[0].ID != 2 {
		t.Error("of two that are equally far past, the one further off in level must come first")
	}
	if _, err := ParseSortKey("loudness"); err == nil || !strings.Contains(err.Error(), "mismatch, quiet, loud, low, sub") {
		t.Errorf("an unknown key gives %v", err)
	}
	if k, err := ParseSortKey("tempo"); k != ByTempo || err != nil {
		t.Errorf("tempo gives %q, %v", k, err)
	}
}
