package store

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
	"dubgauge/detect/fingerprint"
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
