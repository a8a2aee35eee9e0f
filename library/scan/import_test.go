package scan

import (
	"bytes"
	"context"
	"encoding/json"
	"math/rand/v2"
	"path/filepath"
	"strings"
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
	// A record as it was before a field was added: what is missing does not exist.
	old := strings.Replace(madeup.RecordLine(t, "far/away.wav", 1234), `"loudest_30s_over_s":30,`, "", 1)
	if strings.Contains(old, "over_s") {
		t.Fatalf("the record still has the field: %.400s", old)
	}
	lines.WriteString("\n" + old)
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
	if over := full.Loudness.Loudest30sOverS; over.Exists() {
		t.Errorf("a record without the field was measured over %v s", over)
	}
}
