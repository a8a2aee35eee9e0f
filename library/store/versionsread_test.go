package store

import (
	"context"
	"errors"
	"fmt"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect/fingerprint"
	"dubgauge/detect/standout"
)

// TestVersionsOfOne: a track that is asked for by itself has the versions that it has
// among all, also where verdicts are kept; and they do not outlive a change.
func TestVersionsOfOne(t *testing.T) {
	keeping(t)
	db := openTemp(t)
	a := tunePrint(1, 400)
	shelve(t, db, map[string]fingerprint.Print{"a1": a, "a2": again(a, 1), "a3": again(a, 2), "b": tunePrint(2, 400)})
	matchTunes(t, db)
	fresh := tracksOf(t, db, TrackOptions{})
	if !served(t, db, standout.Options{}) {
		t.Fatal("nothing was kept")
	}
	for i, want := range tracksOf(t, db, TrackOptions{Brief: true}) {
		got, err := db.Track(context.Background(), want.ID)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want.Versions, got.Versions, same); d != "" {
			t.Errorf("%s: %s", want.Path, d)
		}
		if d := cmp.Diff(fresh[i].Versions, got.Versions, same); d != "" {
			t.Errorf("%s, judged: %s", want.Path, d)
		}
		if (want.Versions == nil) != (want.Path == "b") {
			t.Errorf("%s: %+v", want.Path, want.Versions)
		}
	}
	shelve(t, db, map[string]fingerprint.Print{"a3": nil})
	wantVersions(t, db, "after a change", map[string]string{"a1": "a2", "a2": "a1"})
}

// TestNearestIsKnownInAStream: which version lies nearest to its references is known of
// each, though the verdicts of others come later: held, read in batches, and kept.
func TestNearestIsKnownInAStream(t *testing.T) {
	held, batch, least := atOnce, judgeBatch, keepLeast
	t.Cleanup(func() { atOnce, judgeBatch, keepLeast = held, batch, least })
	db := stored(t, 60)
	a := tunePrint(1, 400)
	err := db.Write(context.Background(), func(tx *Tx) error {
		return errors.Join(tx.putPrint(3, a.Bytes()), tx.putPrint(55, again(a, 1).Bytes()))
	})
	if err != nil {
		t.Fatal(err)
	}
	rawDB(t, db.Path(), `UPDATE tracks SET mark_status = 'unreleased' WHERE id IN (3, 55)`,
		`UPDATE tracks SET loudest = -17 WHERE id = 3`, `UPDATE tracks SET sum = NULL`)
	matchTunes(t, db)
	for _, c := range []struct{ held, batch, least int }{{2000, 250, 1500}, {0, 7, 1500}, {0, 7, 1}} {
		atOnce, judgeBatch, keepLeast = c.held, c.batch, c.least
		for range 2 { // worked out, and where they are kept, from there
			found := 0
			for _, x := range tracksOf(t, db, TrackOptions{}) {
				if x.Versions == nil {
					continue
				}
				found++
				one, err := db.Track(context.Background(), x.ID)
				if err != nil || x.Versions.Nearest != 55 || one.Versions == nil || one.Versions.Nearest != 55 {
					t.Errorf("%+v: track %d: %+v alone %+v, error %v", c, x.ID, x.Versions, one.Versions, err)
				}
			}
			if found != 2 {
				t.Errorf("%+v: %d tracks have versions", c, found)
			}
		}
	}
}

// TestTwinsAreKept: which tracks are the same audio is known of kept tracks, too.
func TestTwinsAreKept(t *testing.T) {
	keeping(t)
	db := mixed(t)
	fresh := tracksOf(t, db, TrackOptions{})
	kept := tracksOf(t, db, TrackOptions{Brief: true})
	twins := 0
	for i := range fresh {
		if fresh[i].Twin != kept[i].Twin {
			t.Errorf("%s: %d judged, %d kept", fresh[i].Path, fresh[i].Twin, kept[i].Twin)
		}
		if fresh[i].Twin == 20 {
			twins++
		}
	}
	if twins != 2 {
		t.Errorf("%d tracks are the audio of number 20, want 2", twins)
	}
}

// TestMostMatches: of one print so many matches are kept, those with the most music.
func TestMostMatches(t *testing.T) {
	var all []match
	for i := range int64(mostMatches + 50) {
		all = append(all, newMatch(1, i+2, float64(i)), newMatch(i+2, 1, float64(i)-0.5))
	}
	got := mostOf(all)
	if len(got) != mostMatches || got[0] != (match{1, mostMatches + 51, mostMatches + 49}) || got[mostMatches-1].seconds != 50 {
		t.Errorf("%d, from %+v to %+v", len(got), got[0], got[len(got)-1])
	}
}

// TestMatchTunesStops when it is told to.
func TestMatchTunesStops(t *testing.T) {
	db := openTemp(t)
	shelve(t, db, map[string]fingerprint.Print{"a1": tunePrint(1, 400)})
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := db.MatchTunes(ctx); err == nil {
		t.Error("no error")
	}
	if n := count(t, db, `SELECT count(*) FROM matched`); n != 0 {
		t.Error("it is called matched")
	}
}

// BenchmarkMatchTunes matches the prints of 5,000 tracks of 6 minutes, of which 500 are
// versions of another, and then one new one with all.
func BenchmarkMatchTunes(b *testing.B) {
	for b.Loop() {
		b.StopTimer()
		db := openTemp(b)
		for from := 0; from < 5000; from += 500 {
			some := map[string]fingerprint.Print{}
			for i := from; i < from+500; i++ {
				some[fmt.Sprintf("%d.wav", i)] = tunePrint(uint64(i), 1938)
				if i%10 == 9 {
					some[fmt.Sprintf("%d.wav", i)] = again(tunePrint(uint64(i-1), 1938), uint64(i))
				}
			}
			shelve(b, db, some)
		}
		b.StartTimer()
		matchTunes(b, db)
		b.StopTimer()
		if n := count(b, db, `SELECT count(*) FROM matches`); n != 500 {
			b.Errorf("%d matches, want 500", n)
		}
		shelve(b, db, map[string]fingerprint.Print{"new.wav": tunePrint(9999, 1938)})
		b.StartTimer()
		matchTunes(b, db)
	}
}
