package scan

import (
	"context"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/status"
	"dubgauge/library/track"
)

func TestMarksAndPatternsOverrule(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	ctx := context.Background()
	statusOf := func(path string) status.Status { return byPath(t, db, path).Status }
	scanCounted(t, db, Options{}, dir)
	if got := statusOf("House/c v7.wav"); got != status.Unreleased {
		t.Fatalf("c v7 is %s by its name, want unreleased", got)
	}
	scanCounted(t, db, Options{Released: []string{"House/"}, Unreleased: []string{"**/b.*", "./a.wav"}}, dir)
	want := map[string]status.Status{"House/c v7.wav": status.Released, "House/b.wav": status.Unknown, "a.wav": status.Unreleased, "Dubs/d.wave": status.Unreleased, "no ending": status.Unknown}
	for path, s := range want {
		if got := statusOf(path); got != s {
			t.Errorf("with patterns %s is %s, want %s: %+v", path, got, s, byPath(t, db, path).Evidence)
		}
	}
	scanCounted(t, db, Options{}, dir) // remembered
	if got := statusOf("a.wav"); got != status.Unreleased {
		t.Errorf("the scan after it: a.wav is %s", got)
	}
	a := byPath(t, db, "a.wav")
	before, err := db.SetMarks(ctx, []int64{a.ID}, func(m track.Marks) track.Marks { m.Status = status.Released; return m })
	if err != nil {
		t.Fatal(err)
	}
	if got := byPath(t, db, "a.wav"); got.Status != status.Released || got.Evidence[0].Where != "mark" || len(got.Evidence) != 2 {
		t.Errorf("marked: %s, %+v", got.Status, got.Evidence)
	}
	if diff := cmp.Diff(map[int64]track.Marks{a.ID: {}}, before); diff != "" {
		t.Errorf("marks before:\n%s", diff)
	}
	if _, err := db.SetMarks(ctx, []int64{a.ID}, func(track.Marks) track.Marks { return before[a.ID] }); err != nil {
		t.Fatal(err)
	}
	scanCounted(t, db, Options{Released: []string{""}}, dir) // cleared
	if got := statusOf("a.wav"); got != status.Unknown {
		t.Errorf("undone and cleared: a.wav is %s, want unknown", got)
	}
}
