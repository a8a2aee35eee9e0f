package scan

import (
	"strings"
	"testing"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestSameFileTwice: both copies say so, in lists and in full; once one is gone
// the other says nothing.
func TestSameFileTwice(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	madeup.WriteFile(t, dir+"/House/a again.wav", madeup.WAV(0, 100)) // as a.wav
	scanCounted(t, db, Options{}, dir)
	for _, full := range []bool{false, true} {
		for _, tr := range tracksOf(t, db, store.TrackOptions{Full: full}) {
			other := map[string]string{"a.wav": "House/a again.wav", "House/a again.wav": "a.wav"}[tr.Path]
			switch {
			case other == "" && len(tr.Faults) > 0:
				t.Errorf("full %v: %s has %+v", full, tr.Path, tr.Faults)
			case other != "" && (len(tr.Faults) != 1 || tr.Faults[0].Kind != "duplicate" || !strings.Contains(tr.Faults[0].Detail, other)):
				t.Errorf("full %v: %s has %+v, want a duplicate of %s", full, tr.Path, tr.Faults, other)
			}
		}
	}
	a := byPath(t, db, "a.wav")
	if _, err := db.SetMarks(t.Context(), []int64{a.ID}, func(m track.Marks) track.Marks { m.Ignore = true; return m }); err != nil {
		t.Fatal(err)
	}
	if f := byPath(t, db, "House/a again.wav").Faults; len(f) != 0 {
		t.Errorf("the other is ignored, and yet %+v", f)
	}
}
