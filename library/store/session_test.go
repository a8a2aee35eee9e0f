package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"testing"
	"time"

	"dubgauge/detect"
	"dubgauge/library/track"

	"dubgauge/library/status"
)

// deadProcess is the number of a process that has ended.
func deadProcess(t *testing.T) int {
	t.Helper()
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	return cmd.Process.Pid
}

// Scans of other processes are told with the library that they are in, as long as they live.
func TestScansElsewhere(t *testing.T) {
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	db := openTemp(t)
	now, old := time.Now().UnixNano(), time.Now().Add(-2*deadAfter).UnixNano()
	for i, c := range []struct {
		host string
		pid  int
		beat int64
	}{
		{host, os.Getpid(), now}, {host, deadProcess(t), now}, {host, os.Getppid(), now}, {"another host", os.Getpid(), now}, {"another host", 1, old},
	} {
		rawDB(t, db.Path(), fmt.Sprintf(`INSERT INTO sessions (id, host, pid, beat) VALUES (%d, '%s', %d, %d)`, i+1, c.host, c.pid, c.beat))
	}
	rawDB(t, db.Path(), `INSERT INTO roots (id, path) VALUES (7, '/media/GIG')`, `INSERT INTO claims (root, path, session) VALUES (7, 'a.wav', 3), (7, 'b.wav', 3)`)
	if got, err := db.Elsewhere(t.Context()); err != nil || !slices.Equal(got, []string{"/media/GIG", ""}) {
		t.Errorf("elsewhere %q is scanned, %v", got, err)
	}
}

// TestClaims: what another scan has claimed is left to it while it lives.
func TestClaims(t *testing.T) {
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	for _, c := range []struct {
		name string
		host string
		pid  int
		beat time.Time
		want Claim
	}{
		{"alive here", host, os.Getpid(), now, Theirs},
		{"alive elsewhere", "another host", deadProcess(t), now, Theirs},
		{"killed here", host, deadProcess(t), now, Ours},
		{"silent for long", "another host", 1, now.Add(-2 * deadAfter), Ours},
		{"of a clock that was set back", "another host", 1, now.Add(24 * time.Hour), Theirs},
	} {
		t.Run(c.name, func(t *testing.T) {
			db, ctx := openTemp(t), context.Background()
			s, err := db.OpenSession(ctx)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			f := File{Path: "a.wav", Rel: "a.wav"}
			err = db.Write(ctx, func(tx *Tx) error {
				p, err := tx.Place(t.TempDir())
				f.Place = &p
				return errors.Join(err,
					tx.exec(`INSERT INTO sessions (id, host, pid, beat) VALUES (99, ?, ?, ?)`, c.host, c.pid, c.beat.UnixNano()),
					tx.exec(`INSERT INTO claims (root, path, session) VALUES (?, 'a.wav', 99)`, p.RootID))
			})
			if err != nil {
				t.Fatal(err)
			}
			if got, err := s.Claim(ctx, &f, nil); got != c.want || err != nil {
				t.Errorf("claim %v, error %v; want %v", got, err, c.want)
			}
		})
	}
}

// TestClaimOfSettled: a track that another scan has measured meanwhile.
func TestClaimOfSettled(t *testing.T) {
	db, ctx := filled(t, t.TempDir()), context.Background()
	s, err := db.OpenSession(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	rows, err := db.Rows(ctx)
	if err != nil {
		t.Fatal(err)
	}
	r := rows[0]
	f := File{Place: &Place{Dir: r.Root, RootID: r.RootID, Root: r.Root}, Rel: r.Path, Path: r.Path, Size: r.Size, MTime: r.MTime}
	earlier := *r
	earlier.measuredAt--
	for _, c := range []struct {
		name  string
		known *Row
		want  Claim
	}{{"new to this scan", nil, Settled}, {"measured since", &earlier, Settled}, {"as this scan saw it", r, Ours}} {
		if got, err := s.Claim(ctx, &f, c.known); got != c.want || err != nil {
			t.Errorf("%s: claim %v, error %v; want %v", c.name, got, err, c.want)
		}
	}
}

// TestMoveToTakenPath: another scan was faster, and the row goes back.
func TestMoveToTakenPath(t *testing.T) {
	db, ctx := filled(t, t.TempDir()), context.Background()
	rows, err := db.Rows(ctx)
	if err != nil {
		t.Fatal(err)
	}
	from, to := rows[0], rows[1]
	for _, c := range []struct {
		path string
		want bool
	}{{to.Path, false}, {"free.wav", true}} {
		var moved bool
		err = db.Write(ctx, func(tx *Tx) error {
			there, err := tx.SetAside(from)
			if !there {
				t.Errorf("%s: the row was not there", c.path)
			}
			if err == nil {
				moved, err = tx.Move(&File{Place: &Place{RootID: to.RootID}, Rel: c.path, Path: c.path}, from)
			}
			return err
		})
		if moved != c.want || err != nil {
			t.Errorf("to %s: moved %v, error %v; want %v", c.path, moved, err, c.want)
		}
		want := map[bool]string{false: from.Path, true: c.path}[c.want]
		if got := byPath(t, db, want); got.ID != from.ID {
			t.Errorf("%s is track %d, want %d", want, got.ID, from.ID)
		}
	}
}

// TestForget: what has been missing for long goes, and only that.
func TestForget(t *testing.T) {
	db, ctx := filled(t, t.TempDir()), context.Background()
	rows, err := db.Rows(ctx)
	if err != nil {
		t.Fatal(err)
	}
	day := time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)
	err = db.Write(ctx, func(tx *Tx) error {
		for i, r := range rows[:2] {
			if set, err := tx.SetMissing(r, day.AddDate(0, 0, i)); err != nil || !set {
				t.Errorf("%s: set %v, error %v", r.Path, set, err)
			}
			if set, err := tx.SetMissing(r, day.AddDate(1, 0, 0)); err != nil || set {
				t.Errorf("%s was missing already: set %v, error %v", r.Path, set, err)
			}
		}
		return tx.Forget(day.AddDate(0, 0, 1))
	})
	if err != nil {
		t.Fatal(err)
	}
	all := tracksOf(t, db, TrackOptions{IncludeMissing: true})
	if len(all) != len(rows)-1 || len(tracksOf(t, db, TrackOptions{})) != len(rows)-2 {
		t.Errorf("left: %v", pathsOf(all))
	}
	if got := byPath(t, db, rows[1].Path); !got.MissingSince.Equal(day.AddDate(0, 0, 1)) {
		t.Errorf("missing since %v", got.MissingSince)
	}
}

// TestDeepestPatternsFirst: however they were given.
func TestDeepestPatternsFirst(t *testing.T) {
	db, ctx := openTemp(t), context.Background()
	err := db.Write(ctx, func(tx *Tx) error {
		return errors.Join(tx.SetPatterns(patternsOf("/m", "a")), tx.SetPatterns(patternsOf("/m/deep", "b")), tx.InheritPatterns("/other", "/m"))
	})
	if err != nil {
		t.Fatal(err)
	}
	var p status.Patterns
	err = db.look(ctx, func(v *view) (err error) {
		p, err = v.patterns()
		return err
	})
	if err != nil || len(p) != 3 || p[0].Dir != "/m/deep" || p[1].Dir != "/other" || p[1].Released[0] != "a" {
		t.Errorf("patterns %+v, error %v", p, err)
	}
}

type sqliteCode int

func (c sqliteCode) Error() string { return "sqlite" }
func (c sqliteCode) Code() int     { return int(c) }

// TestExplain: the codes are those of sqlite.org/rescode.html; the extended ones
// hold them in the low byte.
func TestExplain(t *testing.T) {
	db := openTemp(t)
	for c, want := range map[int]Trouble{5: Busy, 6: Busy, 261: Busy, 8: Unwritable, 10: BadDisk, 778: BadDisk, 11: Damaged, 13: Full, 14: BadDisk, 26: Foreign} {
		var e *Error
		err := db.explain(sqliteCode(c))
		if !errors.As(err, &e) || e.Trouble != want || e.Path != db.Path() {
			t.Errorf("code %d: %v, want %q", c, err, want)
		}
		if again := db.explain(err); again != err {
			t.Errorf("code %d: explained twice: %v", c, again)
		}
	}
	if err := db.explain(sqliteCode(1)); errors.As(err, new(*Error)) || !errors.Is(err, sqliteCode(1)) {
		t.Errorf("a code without words: %v", err)
	}
	if plain := errors.New("plain"); db.explain(plain) != plain {
		t.Error("an error of ours was changed")
	}
}

// TestNoReferenceTwice goes through the database: of two files with one content
// only one is a reference.
func TestNoReferenceTwice(t *testing.T) {
	db, ctx := openTemp(t), context.Background()
	err := db.Write(ctx, func(tx *Tx) error {
		p, err := tx.Place(t.TempDir())
		for _, path := range []string{"a.wav", "b.wav", "c.wav"} {
			r := track.Record{Path: path, Measurement: detect.Empty()}
			r.Tags.ISRC, r.Loudness.Loudest30sLUFS = "QZABC2600001", -8
			content := "the same"
			if path == "c.wav" {
				content = "another"
			}
			err = errors.Join(err, tx.Put(&File{Place: &p, Rel: path, Path: path, Content: []byte(content)}, &r))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := byPath(t, db, "c.wav").Reference.Tracks; got != 1 {
		t.Errorf("c.wav has %d references beside itself, want 1: a.wav and b.wav are one", got)
	}
}

// TestClaimFromTheFuture: a scan that was killed before the clock was set back has a
// beat that lies ahead. It is dead once it has shown no life for as long as any; one
// that lives with such a clock is left its claims.
func TestClaimFromTheFuture(t *testing.T) {
	old := deadAfter
	deadAfter = 300 * time.Millisecond
	defer func() { deadAfter = old }()
	for _, alive := range []bool{false, true} {
		db, ctx := openTemp(t), context.Background()
		s, err := db.OpenSession(ctx)
		if err != nil {
			t.Fatal(err)
		}
		f := File{Path: "a.wav", Rel: "a.wav"}
		ahead := time.Now().Add(24 * time.Hour).UnixNano()
		err = db.Write(ctx, func(tx *Tx) error {
			p, err := tx.Place(t.TempDir())
			f.Place = &p
			return errors.Join(err,
				tx.exec(`INSERT INTO sessions (id, host, pid, beat) VALUES (99, 'another host', 1, ?)`, ahead),
				tx.exec(`INSERT INTO claims (root, path, session) VALUES (?, 'a.wav', 99)`, p.RootID))
		})
		if err != nil {
			t.Fatal(err)
		}
		got := Theirs
		for start := time.Now(); got == Theirs && time.Since(start) < 4*deadAfter; time.Sleep(deadAfter / 10) {
			if alive {
				ahead++
				err = db.Write(ctx, func(tx *Tx) error { return tx.exec(`UPDATE sessions SET beat = ? WHERE id = 99`, ahead) })
			}
			var e error
			if got, e = s.Claim(ctx, &f, nil); err != nil || e != nil {
				t.Fatal(err, e)
			}
		}
		if want := map[bool]Claim{true: Theirs, false: Ours}[alive]; got != want {
			t.Errorf("alive %v: claim %v, want %v", alive, got, want)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}
