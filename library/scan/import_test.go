package scan

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
)

// TestImport: records measured elsewhere come in, and where the files are at hand
// the next scan does not decode them.
func TestImport(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	ctx := context.Background()
	var lines bytes.Buffer
	for _, name := range []string{"a.wav", "House/b.wav"} {
		r, err := Measure(ctx, filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if name == "a.wav" {
			r.Path = name // relative to the library
		}
		if err := json.NewEncoder(&lines).Encode(r); err != nil {
			t.Fatal(err)
		}
	}
	lines.WriteString("\n" + madeup.RecordLine(t, "far/away.wav", 1234))
	rep, err := store.ImportRecords(ctx, db, dir, &lines)
	if err != nil || rep.Total != 3 || rep.Measured != 3 || len(rep.Problems) != 0 {
		t.Fatalf("report %+v, error %v", rep, err)
	}
	if r, n := scanCounted(t, db, Options{}, dir); n != 3 || r.Unchanged != 2 || r.Missing != 1 {
		t.Errorf("the scan after it: %+v, want the 3 others measured", r)
	}
	far := byPath(t, db, "far/away.wav")
	full, err := db.Track(ctx, far.ID)
	if err != nil {
		t.Fatal(err)
	}
	want := madeup.Record(rand.New(rand.NewPCG(3, 4)), 1)
	if got := len(full.Loudness.TimelineLUFS); got != 240 || full.Tags.Title != want.Tags.Title || full.Key.Name != "A minor" {
		t.Errorf("stored: %d steps, %+v, %+v", got, full.Tags, full.Key)
	}
}
