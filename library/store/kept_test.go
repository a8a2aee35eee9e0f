package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// keeping has every library kept, however small, until the test is over.
func keeping(t *testing.T) {
	t.Helper()
	before := keepLeast
	keepLeast = 1
	t.Cleanup(func() { keepLeast = before })
}

// same compares tracks as they come from the judge and as they were kept: the figures of
// groups and moves are kept in JSON, to four decimals.
var same = cmp.Options{
	cmp.Comparer(func(a, b detect.Value) bool {
		return a.Exists() == b.Exists() && (!a.Exists() || math.Abs(float64(a-b)) < 1e-4)
	}),
	cmpopts.IgnoreUnexported(track.Track{}),
	cmpopts.IgnoreFields(detect.Measurement{}, "Fingerprint"),
}

// served tells whether the next reading is from what is kept.
func served(t *testing.T, db *DB, o standout.Options) bool {
	t.Helper()
	var kept bool
	err := db.look(t.Context(), func(v *view) (err error) {
		_, kept, err = v.state(o)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return kept
}

// mixed is a library with every kind of track: marked, ignored, missing, unreadable, twice
// there, released and not.
func mixed(t *testing.T) *DB {
	t.Helper()
	db := stored(t, 60)
	rawDB(t, db.Path(), `UPDATE tracks SET missing_at = 5 WHERE id = 7`, `UPDATE tracks SET mark_ignore = 1 WHERE id = 9`,
		`UPDATE tracks SET mark_status = 'unreleased' WHERE id IN (11, 12)`, `UPDATE tracks SET sum = NULL`,
		`UPDATE tracks SET error_kind = 'damaged', error_detail = 'no frame' WHERE id = 14`,
		`UPDATE tracks SET content = (SELECT content FROM tracks WHERE id = 20), whole = (SELECT whole FROM tracks WHERE id = 20) WHERE id = 21`,
		`UPDATE tracks SET loudest = -16 WHERE id = 30`, `UPDATE tracks SET path = 'con.wav' WHERE id = 40`)
	return db
}

// TestKeptIsWhatWasSaid: what is kept gives the same tracks as judging them all.
func TestKeptIsWhatWasSaid(t *testing.T) {
	keeping(t)
	db := mixed(t)
	for _, o := range []TrackOptions{{}, {IncludeIgnored: true, IncludeMissing: true}, {Full: true, IncludeIgnored: true}} {
		rawDB(t, db.Path(), `DELETE FROM kept`)
		if served(t, db, o.Judge) {
			t.Fatal("served from nothing")
		}
		fresh := tracksOf(t, db, o)
		if !served(t, db, o.Judge) {
			t.Fatal("nothing was kept")
		}
		kept := tracksOf(t, db, o)
		if d := cmp.Diff(fresh, kept, same); d != "" {
			t.Errorf("%+v: judged (-), kept (+):\n%s", o, d)
		}
		for i := range kept {
			if len(kept[i].Added()) != len(fresh[i].Added()) {
				t.Errorf("%s: %d added faults, want %d", kept[i].Path, len(kept[i].Added()), len(fresh[i].Added()))
			}
		}
		one, err := db.Track(t.Context(), kept[3].ID)
		if err != nil {
			t.Fatal(err)
		}
		if o.Full {
			if d := cmp.Diff(fresh[3], one, same); d != "" {
				t.Errorf("one track:\n%s", d)
			}
		}
	}
	if _, err := db.Track(t.Context(), 999); err == nil {
		t.Error("a track that is not there was found")
	}
}

// TestBriefTracks have what lists and trim sheets show.
func TestBriefTracks(t *testing.T) {
	keeping(t)
	db := mixed(t)
	whole := tracksOf(t, db, TrackOptions{})
	brief := tracksOf(t, db, TrackOptions{Brief: true})
	told := 0
	for i := range whole {
		w, b := &whole[i], &brief[i]
		if w.Status != b.Status || w.Verdict != b.Verdict || !cmp.Equal(w.Trim, b.Trim, same) || !cmp.Equal(w.Deviations, b.Deviations, same) ||
			!cmp.Equal(w.Reasons, b.Reasons) || !cmp.Equal(w.Loudness, b.Loudness, same) || !cmp.Equal(w.Reference, b.Reference, same) || w.Tags.Title != b.Tags.Title {
			t.Errorf("%+v\nis in brief\n%+v", w, b)
		}
		if len(b.Notes) > 0 || len(b.Evidence) > 0 {
			t.Errorf("brief has notes %q and evidence %v", b.Notes, b.Evidence)
		}
		told += len(w.Notes)
	}
	if told == 0 {
		t.Error("nothing was said of any track")
	}
}

// TestChangesEndWhatIsKept: whatever changes a verdict is seen at once.
func TestChangesEndWhatIsKept(t *testing.T) {
	keeping(t)
	for _, c := range []struct {
		name   string
		change func(db *DB) error
	}{
		{"a mark", func(db *DB) error {
			_, err := db.SetMarks(t.Context(), []int64{3}, func(m track.Marks) track.Marks { m.Ignore = true; return m })
			return err
		}},
		{"a pattern", func(db *DB) error {
			return db.Write(t.Context(), func(tx *Tx) error {
				return tx.SetPatterns(status.FolderPatterns{Dir: "/music", Unreleased: []string{"00*"}})
			})
		}},
		{"patterns taken back", func(db *DB) error {
			return db.Write(t.Context(), func(tx *Tx) error { return tx.SetPatterns(status.FolderPatterns{Dir: "/music"}) })
		}},
		{"a deleted track", func(db *DB) error {
			return db.Write(t.Context(), func(tx *Tx) error { return tx.Forget(time.Now()) })
		}},
		{"a track measured anew", func(db *DB) error { measureAnew(t, db, nil); return nil }},
	} {
		db := mixed(t)
		if c.name == "patterns taken back" {
			rawDB(t, db.Path(), `INSERT INTO globs VALUES ('/music', '[]', '["00*"]')`)
		}
		tracksOf(t, db, TrackOptions{})
		if !served(t, db, standout.Options{}) {
			t.Fatal("nothing was kept")
		}
		if err := c.change(db); err != nil {
			t.Fatal(err)
		}
		if served(t, db, standout.Options{}) {
			t.Errorf("%s: what was kept before is served", c.name)
		}
		seen := tracksOf(t, db, TrackOptions{IncludeIgnored: true})
		rawDB(t, db.Path(), `DELETE FROM kept`)
		if d := cmp.Diff(tracksOf(t, db, TrackOptions{IncludeIgnored: true}), seen, same); d != "" {
			t.Errorf("%s:\n%s", c.name, d)
		}
	}
}

// TestKeptByOthers: other options and other programs do not get what was not said by
// them, and a later state is not overwritten by what an earlier one gave.
func TestKeptByOthers(t *testing.T) {
	keeping(t)
	db := mixed(t)
	tracks := tracksOf(t, db, TrackOptions{})
	low := -3.0
	if served(t, db, standout.Options{Ceiling: &low}) {
		t.Error("another ceiling is served")
	}
	ceiling := standout.DefaultCeiling
	if !served(t, db, standout.Options{Ceiling: &ceiling}) {
		t.Error("the same ceiling is not served")
	}
	rawDB(t, db.Path(), `UPDATE kept SET by = 'another program'`)
	if served(t, db, standout.Options{}) {
		t.Error("another program's verdicts are served")
	}
	var changes int64
	rawDB(t, db.Path(), `DELETE FROM kept`)
	if err := db.look(t.Context(), func(v *view) (err error) { changes, _, err = v.state(standout.Options{}); return err }); err != nil {
		t.Fatal(err)
	}
	rawDB(t, db.Path(), `UPDATE tracks SET mark_ignore = 1 WHERE id = 2`)
	tracksOf(t, db, TrackOptions{}) // keeps the later state
	worked := 0
	err := db.keep(context.Background(), len(tracks), changes, standout.Options{}, func(k *keeper) error {
		for i := range tracks {
			k.keep(&tracks[i], 1)
			worked++
		}
		return nil
	})
	if err != nil || worked != len(tracks) || !served(t, db, standout.Options{}) {
		t.Errorf("verdicts of an earlier state took the place of later ones, error %v, %d worked out", err, worked)
	}
}

// TestDamagedKept: bytes that flipped in what is kept cost the time to judge again, and
// nothing else.
func TestDamagedKept(t *testing.T) {
	keeping(t)
	for _, q := range []string{
		`UPDATE kept_tracks SET line = zeroblob(40) WHERE track = 5`, `UPDATE kept_tracks SET rest = '{' WHERE track = 5`,
		`UPDATE kept_tracks SET line = zeroblob(0), line_sum = x'ef46db3751d8e999' WHERE track = 5`,
		`UPDATE kept_groups SET said = '{"tracks": ' WHERE id = 1`, `DELETE FROM kept_groups`, `DROP TABLE kept_tracks`,
	} {
		db := mixed(t)
		want := tracksOf(t, db, TrackOptions{Full: true})
		rawDB(t, db.Path(), q)
		if d := cmp.Diff(want, tracksOf(t, db, TrackOptions{Full: true}), same); d != "" {
			t.Errorf("%s:\n%s", q, d)
		}
		if one, err := db.Track(t.Context(), want[4].ID); err != nil || !cmp.Equal(one, want[4], same) {
			t.Errorf("%s: %v, one track %+v", q, err, one)
		}
	}
}

// TestSmallLibrariesAreNotKept: reading them is as quick as judging them.
func TestSmallLibrariesAreNotKept(t *testing.T) {
	db := stored(t, 20)
	tracksOf(t, db, TrackOptions{})
	if served(t, db, standout.Options{}) {
		t.Error("20 tracks were kept")
	}
}

// TestLineValues: every kind of value comes back, and a cut or foreign line is refused
// wherever it ends.
func TestLineValues(t *testing.T) {
	var s, s2 string
	var n int64
	var b []byte
	var yes bool
	v := detect.None
	fields := []any{&s, &n, number{&v}, &b, &yes, number{&v}, &s2}
	line := appendValue(nil, "Björn")
	line = appendValue(line, int64(-1<<62))
	line = appendValue(line, 3.25)
	line = appendValue(line, []byte{0, 1})
	line = appendValue(line, true)
	line = appendValue(line, nil)
	line = appendValue(line, "")
	read := func(line []byte) error {
		for _, f := range fields {
			var err error
			if line, err = takeValue(line, f); err != nil {
				return err
			}
		}
		return nil
	}
	if err := read(line); err != nil || s != "Björn" || n != -1<<62 || string(b) != "\x00\x01" || !yes || v.Exists() || s2 != "" {
		t.Errorf("%v: %q %d %v %v %v %q", err, s, n, b, yes, v, s2)
	}
	for i := range line {
		if err := read(line[:i]); err == nil {
			t.Errorf("cut off at %d it is read", i)
		}
	}
	for _, bad := range []string{"x", "s\xff\xff\xff\xff\xff\xff\xff\xff\xff\x01", "i", "f1234567", "i\x02"} {
		if _, err := takeValue([]byte(bad), &s); err == nil {
			t.Errorf("%q is read as a text", bad)
		}
	}
	if fmt.Sprint(appendValue(nil, false)) != "[105 0]" {
		t.Error("false is not 0")
	}
}

// FuzzKeptTrack: any line gives a track or an error.
func FuzzKeptTrack(f *testing.F) {
	k := newKeptTrack()
	t := track.Track{ID: 3, Root: "/music", Record: track.Record{Path: "a.wav", Measurement: detect.Empty()}, Status: status.Released}
	t.Deviations = []standout.Deviation{{Quantity: standout.Level, Value: -8, DB: 1, Spreads: 2}}
	line, rest, err := k.line(nil, &t, 1)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(line, rest)
	f.Add(line[:20], []byte("{"))
	groups := map[int64]*keptGroup{1: {}}
	f.Fuzz(func(t *testing.T, line, rest []byte) {
		got := newKeptTrack()
		if err := got.read(line, rest, groups); err == nil && len(got.t.Deviations) > len(line) {
			t.Error("more deviations than bytes")
		}
	})
}

// TestStoredText: a track written from its stored record is what encoding/json writes of
// the record when it was read, byte for byte; tracks of which that does not hold are read.
func TestStoredText(t *testing.T) {
	db := mixed(t)
	rawDB(t, db.Path(), `UPDATE tracks SET version = 1 WHERE id = 5`, `UPDATE records SET record = substr(record, 1, 200) WHERE track = 6`,
		`UPDATE tracks SET path = 'moved "here" <b>.wav' WHERE id = 8`)
	if err := db.Write(t.Context(), func(tx *Tx) error {
		a := tunePrint(1, 400)
		return errors.Join(tx.putPrint(50, a.Bytes()), tx.putPrint(52, again(a, 1).Bytes()))
	}); err != nil {
		t.Fatal(err)
	}
	matchTunes(t, db)
	o := TrackOptions{IncludeIgnored: true, IncludeMissing: true}
	full, light := tracksOf(t, db, TrackOptions{Full: true, IncludeIgnored: true, IncludeMissing: true}), tracksOf(t, db, o)
	these := make([]*track.Track, len(light))
	for i := range light {
		these[i] = &light[i]
	}
	if err := db.FillText(t.Context(), these); err != nil {
		t.Fatal(err)
	}
	spliced, versions := 0, 0
	for i, tr := range these {
		var want bytes.Buffer
		e := json.NewEncoder(&want)
		e.SetEscapeHTML(false)
		if err := e.Encode(&full[i]); err != nil {
			t.Fatal(err)
		}
		if tr.Stored == nil {
			if d := cmp.Diff(full[i], *tr, same); d != "" {
				t.Errorf("%s was read otherwise:\n%s", tr.Path, d)
			}
			continue
		}
		spliced++
		if tr.Versions != nil {
			versions++
		}
		if tr.ID == 5 || tr.ID == 6 || len(tr.Added()) > 0 {
			t.Errorf("%s is written from what is not enough", tr.Path)
		}
		got, err := tr.AppendJSON(nil)
		if err != nil || string(got) != want.String() {
			t.Errorf("%s: %v\n%s\nwant\n%s", tr.Path, err, got, want.String())
		}
	}
	if spliced < 40 || versions != 2 {
		t.Errorf("%d of %d from their text, %d of 2 with versions", spliced, len(these), versions)
	}
}

// TestSpectra come in the order asked for, without a track that has none, and of very many
// evenly.
func TestSpectra(t *testing.T) {
	db := stored(t, 5)
	rawDB(t, db.Path(), `DELETE FROM records WHERE track = 2`)
	got, err := db.Spectra(t.Context(), []int64{5, 2, 1})
	if err != nil || len(got) != 2 || got[0].ID != 5 || got[1].ID != 1 {
		t.Fatalf("%v, error %v", got, err)
	}
	full := tracksOf(t, db, TrackOptions{Full: true})
	if !cmp.Equal(got[1].Spectrum, full[0].Spectrum, same) || got[1].Level != full[0].Loudness.Loudest30sLUFS {
		t.Errorf("%+v, want %+v at %v", got[1], full[0].Spectrum, full[0].Loudness.Loudest30sLUFS)
	}
	if full[0].Kick == nil || !cmp.Equal(got[1].Kick, full[0].Kick, same) {
		t.Errorf("kick %+v, want %+v", got[1].Kick, full[0].Kick)
	}
	many := make([]int64, 3*mostSpectra)
	for i := range many {
		many[i] = 1 + int64(i/mostSpectra)*2 // 1, 3 and 5, a third each
	}
	got, err = db.Spectra(t.Context(), many)
	count := map[int64]int{}
	for _, s := range got {
		count[s.ID]++
	}
	if err != nil || len(got) != mostSpectra || count[1] < mostSpectra/3 || count[3] < mostSpectra/3 || count[5] < mostSpectra/3 {
		t.Errorf("%d spectra: %v, error %v", len(got), count, err)
	}
	if none, err := db.Spectra(t.Context(), nil); err != nil || len(none) != 0 {
		t.Errorf("%v, error %v", none, err)
	}
}
