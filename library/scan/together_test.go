package scan

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestParentScannedMeanwhile: a scan of a folder goes on when another takes its tracks
// into the library of the folder above.
func TestParentScannedMeanwhile(t *testing.T) {
	top, db := t.TempDir(), openTemp(t)
	child := filepath.Join(top, "Jos\u00e9", "House")
	for i, name := range []string{"a.wav", "b.wav", "c.wav", "d.wav"} {
		madeup.WriteFile(t, filepath.Join(child, name), madeup.WAV(uint32(i), 100+i))
	}
	madeup.WriteFile(t, filepath.Join(top, "top.wav"), madeup.WAV(9, 300))
	scanCounted(t, db, Options{}, child)
	for i, name := range []string{"a.wav", "b.wav", "c.wav"} {
		madeup.WriteFile(t, filepath.Join(child, name), madeup.WAV(uint32(50+i), 200+i))
	}
	if err := os.Rename(filepath.Join(child, "d.wav"), filepath.Join(child, "e.wav")); err != nil {
		t.Fatal(err)
	}
	var c, other counter
	var once sync.Once
	measure := func(ctx context.Context, fsys FS, path string, progress func(float64)) (track.Record, error, error) {
		if c.n.Load() == 1 {
			once.Do(func() {
				if _, err := Run(context.Background(), db, []string{top}, Options{measure: other.measure, Workers: 1}); err != nil {
					t.Errorf("the scan of the parent: %v", err)
				}
			})
		}
		return c.measure(ctx, fsys, path, progress)
	}
	r, err := Run(context.Background(), db, []string{child}, Options{measure: measure, Workers: 1})
	if err != nil {
		t.Fatalf("the scan of the child: %v", err)
	}
	if len(r.Roots) != 1 || r.Roots[0] != top {
		t.Errorf("the tracks are in %q, want %s", r.Roots, top)
	}
	tracks := tracksOf(t, db, store.TrackOptions{})
	if got := strings.Join(pathsOf(tracks), " "); got != "Jos\u00e9/House/a.wav Jos\u00e9/House/b.wav Jos\u00e9/House/c.wav Jos\u00e9/House/e.wav top.wav" {
		t.Errorf("tracks %s", got)
	}
	checkFigures(t, db)
	if r, n := scanCounted(t, db, Options{}, top); n != 0 || r.Unchanged != 5 {
		t.Errorf("the next scan: %+v", r)
	}
}

// TestWriterAtTheEnd: another program holds the database for longer than a moment when
// a scan is through: what was stored is stored, and that is no error.
func TestWriterAtTheEnd(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	raw, err := sql.Open("sqlite", db.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer raw.Close()
	ss, err := db.OpenSession(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	scanCounted(t, db, Options{}, dir)
	conn, err := raw.Conn(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	if _, err := conn.ExecContext(t.Context(), `BEGIN IMMEDIATE`); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	if err := ss.Close(); err != nil {
		t.Errorf("error %v", err)
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("the end took %v", took)
	}
	if _, err := conn.ExecContext(t.Context(), `ROLLBACK`); err != nil {
		t.Fatal(err)
	}
}

// TestEmptyFolderBesideAnother: that one folder is empty says nothing of another of the
// same library.
func TestEmptyFolderBesideAnother(t *testing.T) {
	top, db := t.TempDir(), openTemp(t)
	a, b := filepath.Join(top, "a"), filepath.Join(top, "b")
	madeup.WriteFile(t, a+"/a.wav", madeup.WAV(1, 100))
	madeup.WriteFile(t, b+"/b.wav", madeup.WAV(2, 101))
	madeup.WriteFile(t, b+"/c.wav", madeup.WAV(3, 102))
	scanCounted(t, db, Options{}, top)
	if err := os.Remove(a + "/a.wav"); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(b + "/c.wav"); err != nil {
		t.Fatal(err)
	}
	r, _ := scanCounted(t, db, Options{}, a, b)
	if r.Missing != 1 || len(r.Problems) != 1 || !strings.Contains(r.Problems[0].Detail, "1 track was in it") {
		t.Errorf("report %+v, want one missing in b and a said to be empty", r)
	}
	if got := strings.Join(pathsOf(tracksOf(t, db, store.TrackOptions{})), " "); got != "a/a.wav b/b.wav" {
		t.Errorf("present are %s", got)
	}
}

// TestLinkIntoAnotherLibrary: a file is one track, whether both folders are scanned at
// once or one after the other; the link is said.
func TestLinkIntoAnotherLibrary(t *testing.T) {
	for _, c := range []struct {
		name  string
		links func(a, b string) map[string]string // link to target
		said  int
	}{
		{"to a file", func(a, b string) map[string]string { return map[string]string{a + "/link.wav": b + "/House/x.wav"} }, 1},
		{"to a folder", func(a, b string) map[string]string { return map[string]string{a + "/House": b + "/House"} }, 1},
		{"to the whole", func(a, b string) map[string]string { return map[string]string{a + "/all": b} }, 1},
		{"to one whose name begins alike", func(a, b string) map[string]string { return map[string]string{a + "/more": b + "more"} }, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, both := range []bool{true, false} {
				top, db := t.TempDir(), openTemp(t)
				a, b := filepath.Join(top, "a"), filepath.Join(top, "b")
				madeup.WriteFile(t, a+"/own.wav", madeup.WAV(1, 100))
				madeup.WriteFile(t, b+"/House/x.wav", madeup.WAV(2, 101))
				madeup.WriteFile(t, b+"more/y.wav", madeup.WAV(3, 102))
				for link, target := range c.links(a, b) {
					if err := os.Symlink(target, link); err != nil {
						t.Skip(err)
					}
				}
				var r store.Report
				if both {
					r, _ = scanCounted(t, db, Options{}, a, b)
				} else {
					scanCounted(t, db, Options{}, b)
					r, _ = scanCounted(t, db, Options{}, a)
				}
				if want := 3 - c.said; len(tracksOf(t, db, store.TrackOptions{})) != want {
					t.Errorf("both %v: tracks %q, want %d", both, pathsOf(tracksOf(t, db, store.TrackOptions{})), want)
				}
				if len(r.Problems) != c.said || c.said > 0 && !strings.Contains(r.Problems[0].Detail, b) {
					t.Errorf("both %v: problems %+v, want %d", both, r.Problems, c.said)
				}
			}
		})
	}
}
