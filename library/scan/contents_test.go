package scan

import (
	"testing"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestOneRowMovesOnce: of two new files with the content of one row that is free,
// the one of the same name takes the row, the other its measurement.
func TestOneRowMovesOnce(t *testing.T) {
	db := openTemp(t)
	dir := t.TempDir()
	err := db.Write(t.Context(), func(tx *store.Tx) error {
		p, err := tx.Place(dir)
		if err != nil {
			return err
		}
		return tx.Put(&store.File{Place: &p, Rel: "a.wav", Path: "a.wav", Content: []byte("x")}, &track.Record{Path: "a.wav"})
	})
	if err != nil {
		t.Fatal(err)
	}
	rows, err := db.Rows(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	at := func(path string) *file { return &file{File: store.File{Path: path, Rel: path, Content: []byte("x")}} }
	for _, c := range []struct {
		free bool
		want [2]fate
	}{{true, [2]fate{moved, copied}}, {false, [2]fate{copied, copied}}} {
		files := []*file{at("New/a.wav"), at("b.wav")}
		recognise(files, rows, func(*store.Row) bool { return c.free })
		if got := [2]fate{files[0].fate, files[1].fate}; got != c.want || files[0].from != rows[0] || files[1].from != rows[0] {
			t.Errorf("free %v: fates %v, want %v", c.free, got, c.want)
		}
	}
}
