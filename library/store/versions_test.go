package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
	"dubgauge/detect/fingerprint"
	"dubgauge/detect/standout"
	"dubgauge/library/track"
)

// tunePrint is a print of nothing in particular, in which bits last as in music.
func tunePrint(seed uint64, n int) fingerprint.Print {
	r := rand.New(rand.NewPCG(seed, 5))
	p, v := make(fingerprint.Print, n), r.Uint32()
	for i := range p {
		for k := range 24 {
			if r.IntN(5) == 0 {
				v ^= 1 << k
			}
		}
		p[i] = max(1, v&0xffffff)
	}
	return p
}

// again is a print of the same music: every third step has three other bits.
func again(p fingerprint.Print, seed uint64) fingerprint.Print {
	r := rand.New(rand.NewPCG(seed, 6))
	q := slices.Clone(p)
	for i := 0; i < len(q); i += 3 {
		for range 3 {
			q[i] = max(1, q[i]^1<<r.IntN(24))
		}
	}
	return q
}

// shelve stores tracks of one root with prints, by their paths.
func shelve(t testing.TB, db *DB, prints map[string]fingerprint.Print) {
	t.Helper()
	err := db.Write(context.Background(), func(tx *Tx) error {
		p, err := tx.Place("/music")
		for path, print := range prints {
			r := &track.Record{Path: path, Measurement: detect.Empty()}
			r.TunePrint = print.Text()
			if err == nil {
				err = tx.Put(&File{Place: &p, Rel: path, Path: path}, r)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func matchTunes(t testing.TB, db *DB) {
	t.Helper()
	if err := db.MatchTunes(context.Background()); err != nil {
		t.Fatal(err)
	}
}

// versionsIn are the paths of the versions of each track, by its path.
func versionsIn(t testing.TB, db *DB) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, x := range tracksOf(t, db, TrackOptions{}) {
		if x.Versions == nil {
			continue
		}
		var paths []string
		for _, v := range x.Versions.Tracks {
			paths = append(paths, v.Path)
		}
		all[x.Path] = strings.Join(paths, " ")
	}
	return all
}

func wantVersions(t *testing.T, db *DB, what string, want map[string]string) {
	t.Helper()
	if d := cmp.Diff(want, versionsIn(t, db)); d != "" {
		t.Errorf("%s (-want, +got):\n%s", what, d)
	}
}

// count is a number that a query gives.
func count(t testing.TB, db *DB, query string) (n int) {
	t.Helper()
	if err := db.sql.QueryRow(query).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}

// TestMatchTunes: versions are found once they were matched, new ones beside old ones,
// whatever the size of a batch, and are forgotten with their tracks.
func TestMatchTunes(t *testing.T) {
	before := matchBatch
	t.Cleanup(func() { matchBatch = before })
	for _, matchBatch = range []int{1, 2, 2000} {
		db := openTemp(t)
		a, b := tunePrint(1, 400), tunePrint(2, 400)
		shelve(t, db, map[string]fingerprint.Print{"a1": a, "a2": again(a, 1), "b1": b, "c": tunePrint(3, 400), "none": nil})
		wantVersions(t, db, "not matched", map[string]string{})
		matchTunes(t, db)
		wantVersions(t, db, "matched", map[string]string{"a1": "a2", "a2": "a1"})
		shelve(t, db, map[string]fingerprint.Print{"a3": again(a, 2), "b2": again(b, 3)})
		matchTunes(t, db)
		wantVersions(t, db, "with new ones", map[string]string{"a1": "a2 a3", "a2": "a1 a3", "a3": "a1 a2", "b1": "b2", "b2": "b1"})
		if n := count(t, db, `SELECT count(*) FROM matched`); n != 6 {
			t.Errorf("%d prints were matched, want 6", n)
		}
		shelve(t, db, map[string]fingerprint.Print{"a3": nil, "b2": tunePrint(9, 400)}) // measured anew
		matchTunes(t, db)
		wantVersions(t, db, "with others gone", map[string]string{"a1": "a2", "a2": "a1"})
		if n, m := count(t, db, `SELECT count(*) FROM matched`), count(t, db, `SELECT count(*) FROM matches`); n != 5 || m != 1 {
			t.Errorf("%d prints matched, %d matches kept, want 5 and 1", n, m)
		}
	}
}

// TestSmallBatches: whatever the hashes are, each new print is matched with every old one,
// and with the new ones of other batches.
func TestSmallBatches(t *testing.T) {
	before := matchBatch
	t.Cleanup(func() { matchBatch = before })
	matchBatch = 1
	db := openTemp(t)
	for _, round := range []int{0, 1} {
		some := map[string]fingerprint.Print{}
		for i := range 12 {
			p := tunePrint(uint64(i), 150)
			some[fmt.Sprintf("%d of %d", i, 2*round)], some[fmt.Sprintf("%d of %d", i, 2*round+1)] = again(p, uint64(2*round)), again(p, uint64(2*round+1))
		}
		shelve(t, db, some)
		matchTunes(t, db)
	}
	if n := count(t, db, `SELECT count(*) FROM matches`); n != 12*6 { // 4 of each tune: 6 pairs
		t.Errorf("%d matches, want 72", n)
	}
}

// TestMatchedOnce: what was matched is not matched again.
func TestMatchedOnce(t *testing.T) {
	db := openTemp(t)
	a := tunePrint(1, 400)
	shelve(t, db, map[string]fingerprint.Print{"a1": a, "a2": again(a, 1)})
	matchTunes(t, db)
	rawDB(t, db.Path(), `DELETE FROM matches`)
	matchTunes(t, db)
	wantVersions(t, db, "matched before", map[string]string{})
	shelve(t, db, map[string]fingerprint.Print{"a3": again(a, 4)})
	matchTunes(t, db)
	wantVersions(t, db, "a new one", map[string]string{"a1": "a3", "a2": "a3", "a3": "a1 a2"}) // 2 of 3 pairs
}

// TestCopiesAreNoVersions: a copy has the print of its original, and adds nothing.
func TestCopiesAreNoVersions(t *testing.T) {
	db := openTemp(t)
	a := tunePrint(1, 400)
	shelve(t, db, map[string]fingerprint.Print{"a1": a, "a1 copy": a, "a2": again(a, 1)})
	matchTunes(t, db)
	wantVersions(t, db, "a copy", map[string]string{"a1": "a2", "a1 copy": "a2", "a2": "a1"})
	if n := count(t, db, `SELECT count(*) FROM matches`); n != 1 {
		t.Errorf("%d matches, want 1", n)
	}
}

// TestCopyTakesPrint: a file that is recognised as a copy gets the print, too, in place
// of its own.
func TestCopyTakesPrint(t *testing.T) {
	db := openTemp(t)
	a := tunePrint(1, 400)
	shelve(t, db, map[string]fingerprint.Print{"a1": a, "a2": again(a, 1), "x": tunePrint(2, 400)})
	rows, err := db.Rows(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	from := rows[slices.IndexFunc(rows, func(r *Row) bool { return r.Path == "a1" })]
	err = db.Write(context.Background(), func(tx *Tx) error {
		p, err := tx.Place("/music")
		for _, path := range []string{"x", "new"} {
			if err == nil {
				_, err = tx.Copy(&File{Place: &p, Rel: path, Path: path}, from)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	matchTunes(t, db)
	wantVersions(t, db, "copies", map[string]string{"a1": "a2", "new": "a2", "x": "a2", "a2": "a1"})
}

// TestPrintStandsBesideTheRecord: a record is stored and given out without it.
func TestPrintStandsBesideTheRecord(t *testing.T) {
	db := openTemp(t)
	shelve(t, db, map[string]fingerprint.Print{"a": tunePrint(1, 400)})
	x := tracksOf(t, db, TrackOptions{Full: true})[0]
	b, err := json.Marshal(x)
	if err != nil || x.TunePrint != "" || bytes.Contains(b, []byte("tune_print")) {
		t.Errorf("%.40q, error %v", x.TunePrint, err)
	}
	if n := count(t, db, `SELECT count(*) FROM records WHERE instr(record, 'tune_print') > 0`); n != 0 {
		t.Error("it is in the record")
	}
	if n := count(t, db, `SELECT length(print) FROM prints`); n != 1+3*400 {
		t.Errorf("%d bytes", n)
	}
}

// TestDamagedPrint: a print that is not what was stored matches nothing.
func TestDamagedPrint(t *testing.T) {
	db := openTemp(t)
	a := tunePrint(1, 400)
	shelve(t, db, map[string]fingerprint.Print{"a1": a, "a2": again(a, 1), "a3": again(a, 2), "a4": again(a, 3)})
	rawDB(t, db.Path(), `UPDATE prints SET print = CAST(substr(print, 1, 600) || X'00' || substr(print, 602) AS BLOB) WHERE track = (SELECT id FROM tracks WHERE path = 'a1')`,
		`UPDATE prints SET print = X'01' WHERE track = (SELECT id FROM tracks WHERE path = 'a2')`)
	matchTunes(t, db)
	wantVersions(t, db, "damaged", map[string]string{"a3": "a4", "a4": "a3"})
}

// TestImportedPrints: records from elsewhere bring theirs, and are matched; what is no
// print is left out.
func TestImportedPrints(t *testing.T) {
	db := openTemp(t)
	a := tunePrint(1, 400)
	line := func(path, print string) string {
		r := track.Record{Path: path, Measurement: detect.Empty()}
		r.TunePrint = print
		b, err := json.Marshal(&r)
		if err != nil {
			t.Fatal(err)
		}
		return string(b) + "\n"
	}
	text := line("a1", a.Text()) + line("a2", again(a, 1).Text()) + line("b", "no print") + line("c", a.Text()[:200])
	report, err := ImportRecords(context.Background(), db, "/music", strings.NewReader(text))
	if err != nil || report.Total != 4 {
		t.Fatalf("%+v, error %v", report, err)
	}
	wantVersions(t, db, "imported", map[string]string{"a1": "a2", "a2": "a1"})
	if n := count(t, db, `SELECT count(*) FROM prints`); n != 2 {
		t.Errorf("%d prints, want 2", n)
	}
}

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
