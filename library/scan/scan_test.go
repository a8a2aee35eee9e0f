package scan

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// library of a few files, with what must be passed over among them.
func smallLibrary(t testing.TB) string {
	dir := t.TempDir()
	for i, name := range []string{"a.wav", "House/b.wav", "House/c v7.wav", "Dubs/d.wave", "no ending"} {
		madeup.WriteFile(t, filepath.Join(dir, name), madeup.WAV(uint32(i), 100+i))
	}
	for _, name := range []string{".hidden.wav", "._a.wav", "cover.jpg", "list.m3u", "notes", "System Volume Information/x.wav",
		".Trashes/y.wav", "__MACOSX/z.wav", "$RECYCLE.BIN/r.wav"} {
		madeup.WriteFile(t, filepath.Join(dir, name), []byte("not to be found"))
	}
	return dir
}

func TestScanMeasuresOnce(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	before := madeup.Snapshot(t, dir)
	r, n := scanCounted(t, db, Options{}, dir)
	if n != 5 || r.Total != 5 {
		t.Errorf("first scan: %d measured of %d, want 5 of 5", n, r.Total)
	}
	if r, n = scanCounted(t, db, Options{}, dir); n != 0 || r.Unchanged != 5 {
		t.Errorf("second scan: %d measured, %d unchanged, want 0 and 5", n, r.Unchanged)
	}
	if _, n = scanCounted(t, db, Options{Again: true}, dir); n != 5 {
		t.Errorf("scan again: %d measured, want 5", n)
	}
	want := []string{"Dubs/d.wave", "House/b.wav", "House/c v7.wav", "a.wav", "no ending"}
	if diff := cmp.Diff(want, pathsOf(tracksOf(t, db, store.TrackOptions{}))); diff != "" {
		t.Errorf("tracks (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(before, madeup.Snapshot(t, dir)); diff != "" {
		t.Errorf("the scan changed the library (-before +after):\n%s", diff)
	}
}

// TestMoves checks what is recognised without decoding. Each case starts from
// the same scanned library.
func TestMoves(t *testing.T) {
	move := func(t *testing.T, from, to string) {
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(from, to); err != nil {
			t.Fatal(err)
		}
	}
	copyTo := func(t *testing.T, from, to string) {
		data, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		madeup.WriteFile(t, to, data)
	}
	shift := func(t *testing.T, path string, d time.Duration) {
		fi, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, time.Time{}, fi.ModTime().Add(d)); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name    string
		change  func(t *testing.T, dir string)
		want    store.Report
		marked  string // where the mark of a.wav is afterwards
		missing []string
	}{
		{"nothing", func(*testing.T, string) {}, store.Report{Unchanged: 5}, "a.wav", nil},
		{"renamed", func(t *testing.T, d string) { move(t, d+"/a.wav", d+"/z.wav") }, store.Report{Unchanged: 4, Moved: 1}, "z.wav", nil},
		{"moved to another folder", func(t *testing.T, d string) { move(t, d+"/a.wav", d+"/New/a.wav") }, store.Report{Unchanged: 4, Moved: 1}, "New/a.wav", nil},
		{"folder renamed", func(t *testing.T, d string) { move(t, d+"/House", d+"/Haus") }, store.Report{Unchanged: 3, Moved: 2}, "a.wav", nil},
		{"two swapped", func(t *testing.T, d string) {
			move(t, d+"/a.wav", d+"/tmp")
			move(t, d+"/House/b.wav", d+"/a.wav")
			move(t, d+"/tmp", d+"/House/b.wav")
		}, store.Report{Unchanged: 3, Moved: 2}, "House/b.wav", nil},
		{"renamed over another", func(t *testing.T, d string) { move(t, d+"/a.wav", d+"/House/b.wav") }, store.Report{Unchanged: 3, Moved: 1}, "House/b.wav", nil},
		{"old one kept under a new name", func(t *testing.T, d string) {
			move(t, d+"/a.wav", d+"/a old.wav")
			madeup.WriteFile(t, d+"/a.wav", madeup.WAV(77, 100))
		}, store.Report{Unchanged: 4, Moved: 1, Measured: 1}, "a old.wav", nil},
		{"copied", func(t *testing.T, d string) { copyTo(t, d+"/a.wav", d+"/House/a.wav") }, store.Report{Unchanged: 5, Copied: 1}, "a.wav", nil},
		{"time stamp an hour off", func(t *testing.T, d string) { shift(t, d+"/a.wav", time.Hour) }, store.Report{Unchanged: 5}, "a.wav", nil},
		{"time stamp off", func(t *testing.T, d string) { shift(t, d+"/a.wav", 12345*time.Second) }, store.Report{Unchanged: 5}, "a.wav", nil},
		{"same size, other content", func(t *testing.T, d string) {
			madeup.WriteFile(t, d+"/a.wav", madeup.WAV(99, 100))
			shift(t, d+"/a.wav", time.Second)
		}, store.Report{Unchanged: 4, Measured: 1}, "a.wav", nil},
		{"deleted", func(t *testing.T, d string) { os.Remove(d + "/a.wav") }, store.Report{Unchanged: 4, Missing: 1}, "a.wav", []string{"a.wav"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := smallLibrary(t), openTemp(t)
			scanCounted(t, db, Options{}, dir)
			a := byPath(t, db, "a.wav")
			if _, err := db.SetMarks(context.Background(), []int64{a.ID}, func(m track.Marks) track.Marks { m.Reference = true; return m }); err != nil {
				t.Fatal(err)
			}
			c.change(t, dir)
			r, _ := scanCounted(t, db, Options{}, dir)
			got := store.Report{Measured: r.Measured, Unchanged: r.Unchanged, Moved: r.Moved, Copied: r.Copied, Missing: r.Missing}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("report (-want +got):\n%s", diff)
			}
			var missing []string
			for _, tr := range tracksOf(t, db, store.TrackOptions{IncludeMissing: true}) {
				if tr.Missing() {
					missing = append(missing, tr.Path)
					continue
				}
				data, err := os.ReadFile(tr.DiskPath())
				if err != nil {
					t.Error(err)
				}
				if tr.Loudness.Loudest30sLUFS != round4(levelOf(data)) {
					t.Errorf("%s has the measurement of another file", tr.Path)
				}
			}
			if diff := cmp.Diff(c.missing, missing); diff != "" {
				t.Errorf("missing (-want +got):\n%s", diff)
			}
			if m := byPath(t, db, c.marked); !m.Marks.Reference || m.ID != a.ID {
				t.Errorf("%s: marks %+v, number %d; want those of a.wav, %d", c.marked, m.Marks, m.ID, a.ID)
			}
			if r, n := scanCounted(t, db, Options{}, dir); n != 0 || r.Unchanged != r.Total {
				t.Errorf("the scan after it: %+v", r)
			}
		})
	}
}
