package store

import (
	"context"
	"errors"
	"testing"

	"dubgauge/library/track"
)

func TestSetMarksAllOrNothing(t *testing.T) {
	db := filled(t, t.TempDir())
	a := byPath(t, db, "a.wav")
	ctx := context.Background()
	if _, err := db.SetMarks(ctx, []int64{a.ID, 999}, func(m track.Marks) track.Marks { m.Ignore = true; return m }); !errors.Is(err, ErrNoTrack) {
		t.Errorf("unknown number: error %v", err)
	}
	if _, err := db.SetMarks(ctx, []int64{a.ID}, func(m track.Marks) track.Marks { m.Status = "gold"; return m }); err == nil {
		t.Error("a status of no meaning was stored")
	}
	if m := byPath(t, db, "a.wav").Marks; m != (track.Marks{}) {
		t.Errorf("marks %+v, want none", m)
	}
	if _, err := db.SetMarks(ctx, []int64{a.ID, a.ID}, func(m track.Marks) track.Marks { m.Ignore = !m.Ignore; return m }); err != nil {
		t.Fatal(err)
	}
	for _, o := range []TrackOptions{{}, {IncludeIgnored: true}} {
		tracks := tracksOf(t, db, o)
		if want := map[bool]int{false: 4, true: 5}[o.IncludeIgnored]; len(tracks) != want {
			t.Errorf("%+v: %d tracks, want %d", o, len(tracks), want)
		}
	}
	if v := byPath(t, db, "a.wav").Verdict; v != "" {
		t.Errorf("an ignored track has the verdict %q", v)
	}
}
