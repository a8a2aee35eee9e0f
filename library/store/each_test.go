package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect/standout"
	"dubgauge/library/track"
)

// streaming has libraries of more than so many tracks read twice, in batches of that many,
// until the test is over.
func streaming(t *testing.T, tracks int) {
	t.Helper()
	held, batch := atOnce, judgeBatch
	atOnce, judgeBatch = tracks, tracks
	t.Cleanup(func() { atOnce, judgeBatch = held, batch })
}

// eachOf collects what Each hands out.
func eachOf(t *testing.T, db *DB, o TrackOptions) (all []track.Track) {
	t.Helper()
	if err := db.Each(t.Context(), o, func(tr *track.Track) error { all = append(all, *tr); return nil }); err != nil {
		t.Fatal(err)
	}
	return all
}

// TestStreamIsWhatIsHeld: tracks that are read twice, in batches of whatever size, are
// judged as those that are held, copies and clashes of names among them; and what is kept
// of them is the same.
func TestStreamIsWhatIsHeld(t *testing.T) {
	keeping(t)
	db := mixed(t)
	rawDB(t, db.Path(), `UPDATE tracks SET path = '005.WAV' WHERE id = 50`,
		`UPDATE tracks SET fingerprint = (SELECT fingerprint FROM tracks WHERE id = 33), bpm = (SELECT bpm FROM tracks WHERE id = 33), low = (SELECT low FROM tracks WHERE id = 33),
			sub = (SELECT sub FROM tracks WHERE id = 33), bass = (SELECT bass FROM tracks WHERE id = 33), range = (SELECT range FROM tracks WHERE id = 33) WHERE id = 34`)
	o := TrackOptions{IncludeIgnored: true, IncludeMissing: true}
	want := eachOf(t, db, o)
	codes := map[string]int{}
	for i := range want {
		for _, f := range want[i].Added() {
			codes[f.Kind]++
		}
	}
	for _, kind := range []string{"name", "name_clash", "duplicate"} {
		if codes[kind] == 0 {
			t.Fatalf("no %s among %v", kind, codes)
		}
	}
	for _, size := range []int{1, 7, 20, 59} {
		streaming(t, size)
		rawDB(t, db.Path(), `DELETE FROM kept`)
		for _, from := range []string{"judged", "kept"} {
			if d := cmp.Diff(want, eachOf(t, db, o), same); d != "" {
				t.Errorf("in batches of %d, %s:\n%s", size, from, d)
			}
			if !served(t, db, o.Judge) {
				t.Fatal("nothing was kept")
			}
		}
	}
}

// TestDamagedKeptInAStream: what was handed out before the damage is not handed out again.
func TestDamagedKeptInAStream(t *testing.T) {
	keeping(t)
	streaming(t, 7)
	for _, id := range []int{1, 30, 60} {
		db := mixed(t)
		want := pathsOf(eachOf(t, db, TrackOptions{}))
		rawDB(t, db.Path(), fmt.Sprintf(`UPDATE kept_tracks SET line = zeroblob(40) WHERE track = %d`, id))
		if got := pathsOf(eachOf(t, db, TrackOptions{Brief: true})); !slices.Equal(got, want) {
			t.Errorf("damage of track %d: %q, want %q", id, got, want)
		}
		if !served(t, db, standout.Options{}) {
			t.Error("what was judged anew was not kept")
		}
	}
}

// TestEachEnds with the error of whoever is handed the tracks, from what is kept or not, and
// keeps nothing of a half; and with the context's.
func TestEachEnds(t *testing.T) {
	keeping(t)
	streaming(t, 7)
	db := mixed(t)
	bad := errors.New("enough")
	for _, kept := range []bool{false, true} {
		n := 0
		err := db.Each(t.Context(), TrackOptions{}, func(*track.Track) error {
			if n++; n == 20 {
				return bad
			}
			return nil
		})
		if !errors.Is(err, bad) || n != 20 || served(t, db, standout.Options{}) != kept {
			t.Errorf("error %v after %d tracks, kept %v", err, n, !kept)
		}
		eachOf(t, db, TrackOptions{})
	}
	rawDB(t, db.Path(), `DELETE FROM kept`)
	ctx, stop := context.WithCancel(t.Context())
	n := 0
	err := db.Each(ctx, TrackOptions{}, func(*track.Track) error {
		n++
		stop()
		return nil
	})
	if !errors.Is(err, context.Canceled) || n > 3*judgeBatch || served(t, db, standout.Options{}) {
		t.Errorf("error %v after %d tracks", err, n)
	}
	if got := tracksOf(t, db, TrackOptions{}); len(got) != 58 {
		t.Errorf("%d tracks afterwards, want 60 less one ignored and one missing", len(got))
	}
}

// TestEachBesideAWriter: another process that holds the database, or one that cannot be
// written to, keeps nothing from being handed out.
func TestEachBesideAWriter(t *testing.T) {
	keeping(t)
	streaming(t, 7)
	db := mixed(t)
	db.readOnly = true
	if got := eachOf(t, db, TrackOptions{}); len(got) != 58 || served(t, db, standout.Options{}) {
		t.Errorf("%d tracks of a database that is read only", len(got))
	}
	db.readOnly = false
	changed := false
	n := 0
	err := db.look(t.Context(), func(v *view) error {
		changes, _, err := v.state(standout.Options{})
		if err == nil && !changed {
			changed = true
			rawDB(t, db.Path(), `UPDATE tracks SET mark_ignore = 1 WHERE id = 2`)
		}
		if err != nil {
			return err
		}
		return v.anew(standout.Options{}, changes, func(tr *track.Track) error {
			if n++; tr.ID == 2 && tr.Marks.Ignore {
				t.Error("a change after the look is seen")
			}
			return nil
		})
	})
	if err != nil || n != 60 || served(t, db, standout.Options{}) {
		t.Errorf("%d tracks, error %v; kept though the library changed: %v", n, err, served(t, db, standout.Options{}))
	}
}

// TestKeepingThatFails, as on a full disk, keeps nothing and hands out everything.
func TestKeepingThatFails(t *testing.T) {
	keeping(t)
	streaming(t, 7)
	db := mixed(t)
	rawDB(t, db.Path(), `CREATE TRIGGER full BEFORE INSERT ON kept_tracks WHEN NEW.track = 30 BEGIN SELECT RAISE(FAIL, 'full'); END`)
	if got := eachOf(t, db, TrackOptions{}); len(got) != 58 || served(t, db, standout.Options{}) {
		t.Errorf("%d tracks; a half is served: %v", len(got), served(t, db, standout.Options{}))
	}
}

// TestTracksShareTheirGroup: tracks with the same references have one list of them.
func TestTracksShareTheirGroup(t *testing.T) {
	a, b, c := []int64{1, 2, 3}, []int64{1, 2, 3}, []int64{1, 2}
	g := newSharedGroups()
	tracks := make([]track.Track, 5)
	for i, members := range [][]int64{a, b, c, a, nil} {
		tracks[i].Members = members
	}
	var numbers []int
	for i := range tracks {
		numbers = append(numbers, g.share(&tracks[i]))
	}
	if want := []int{1, 1, 2, 1, 3}; !slices.Equal(numbers, want) || &tracks[1].Members[0] != &a[0] || &tracks[2].Members[0] != &c[0] {
		t.Errorf("groups %v, want %v; shared %v", numbers, want, &tracks[1].Members[0] == &a[0])
	}
	tracks[0].Reference.LUFS = -3
	tracks[0].Members = slices.Clone(a)
	if n := g.share(&tracks[0]); n != 4 {
		t.Errorf("another level is group %d, want 4", n)
	}
}
