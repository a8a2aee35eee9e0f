package store

import (
	"context"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/status"
	"dubgauge/library/tags"
	"dubgauge/library/track"
)

// TestTagSources: what each tag says is kept apart, in the columns as in the record, and
// decides the status. A record without it is judged by the merged tags.
func TestTagSources(t *testing.T) {
	apart := []tags.Source{{Form: "APEv2", Album: "Night Lines"}, {Form: "ID3v1", Year: 2021, Title: "Night\nBus"}}
	lines := ""
	for _, name := range []string{"apart.mp3", "old.mp3"} {
		r := track.Record{Path: name, Tags: tags.Tags{Title: "Night Bus", Album: "Night Lines", Year: 2021}}
		if name == "apart.mp3" {
			r.Tags.Sources = apart
		}
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		lines += string(b) + "\n"
	}
	if n := strings.Count(lines, `"sources"`); n != 1 {
		t.Errorf("%d records have sources, want 1", n)
	}
	dir := t.TempDir()
	db, err := Open(context.Background(), filepath.Join(t.TempDir(), "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if report, err := ImportRecords(context.Background(), db, dir, strings.NewReader(lines)); err != nil || len(report.Problems) > 0 {
		t.Fatal(report, err)
	}
	clean := []tags.Source{apart[0], {Form: "ID3v1", Year: 2021, Title: "Night Bus"}}
	for _, full := range []bool{false, true} {
		for _, tr := range tracksOf(t, db, TrackOptions{Full: full}) {
			want, sources := status.Released, []tags.Source(nil)
			if tr.Path == "apart.mp3" {
				want, sources = status.Unknown, clean
			}
			if diff := cmp.Diff(sources, tr.Tags.Sources); diff != "" || tr.Status != want {
				t.Errorf("%s, full %v: %s, want %s (-want +got):\n%s", tr.Path, full, tr.Status, want, diff)
			}
		}
	}
}
