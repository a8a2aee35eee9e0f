package live

import (
	"slices"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// A mark is asked about from a fifth of the library on, not for one or two tracks, and in any
// case from a hundred on; the marked track itself does not count.
func TestWeigh(t *testing.T) {
	for _, c := range []struct {
		tracks, changed int
		asks            bool
	}{{10, 2, false}, {10, 3, true}, {20, 3, false}, {20, 4, true}, {1000, 99, false}, {1000, 100, true}, {10, 0, false}} {
		before := make([]library.Track, c.tracks)
		for i := range before {
			before[i].ID, before[i].Verdict = int64(i+1), standout.Ready
		}
		after := slices.Clone(before)
		for i := range c.changed + 1 {
			after[i].Verdict = standout.Check // the first is the marked one
		}
		if q := weigh(before, after, []int64{1}); (q != nil) != c.asks {
			t.Errorf("%d of %d verdicts: asked %v", c.changed, c.tracks, q)
		}
	}
	if weigh(nil, nil, nil) != nil {
		t.Error("what cannot be foreseen is asked about")
	}
}
