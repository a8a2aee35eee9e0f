package scan

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"dubgauge/detect"
	"dubgauge/library/madeup"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// TestAnotherStickAtTheSamePath: two sticks take turns at one mount point. Marks stay
// with the files of each, and neither is measured twice.
func TestAnotherStickAtTheSamePath(t *testing.T) {
	tmp, db := t.TempDir(), openTemp(t)
	mount := filepath.Join(tmp, "usb")
	plug := func(name string) {
		t.Helper()
		if err := os.Rename(filepath.Join(tmp, name), mount); err != nil {
			t.Fatal(err)
		}
	}
	pull := func(name string) {
		t.Helper()
		if err := os.Rename(mount, filepath.Join(tmp, name)); err != nil {
			t.Fatal(err)
		}
	}
	for i, stick := range []string{"A", "B"} {
		for j, name := range []string{"01.wav", "02.wav", "03.wav"} {
			// The same names; 02 also of the same length.
			madeup.WriteFile(t, filepath.Join(tmp, stick, name), madeup.WAV(uint32(10*i+j), 400+i*(j%2)))
		}
	}
	madeup.WriteFile(t, filepath.Join(tmp, "A", "only A.wav"), madeup.WAV(77, 900))
	plug("A")
	scanCounted(t, db, Options{}, mount)
	for _, name := range []string{"01.wav", "02.wav", "only A.wav"} {
		mark(t, db, byPath(t, db, name).ID)
	}
	marked := func() (names []string) {
		for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
			if tr.Marks.Reference {
				names = append(names, tr.Path)
			}
		}
		return names
	}
	pull("A")
	plug("B")
	if r, _ := scanCounted(t, db, Options{}, mount); r.Measured != 3 || r.Missing != 1 {
		t.Errorf("the other stick: %+v, want 3 measured", r)
	}
	if got := marked(); len(got) != 0 {
		t.Errorf("marks of the first stick went to %q of the other", got)
	}
	checkFigures(t, db)
	pull("B")
	plug("A")
	r, _ := scanCounted(t, db, Options{}, mount)
	if r.Measured != 0 {
		t.Errorf("the first stick again: %+v, want nothing measured", r)
	}
	if got := marked(); len(got) != 3 {
		t.Errorf("marked are %q, want the three of before", got)
	}
	checkFigures(t, db)
	pull("A")
	plug("B")
	if r, _ := scanCounted(t, db, Options{}, mount); r.Measured != 0 || len(marked()) != 0 {
		t.Errorf("the other stick again: %+v, marked %q", r, marked())
	}
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != 3 {
		t.Errorf("%d tracks are listed, want 3", n)
	}
	checkFigures(t, db)
}

// TestNewVersionKeepsItsMarks: a track that was saved anew under its name is the same
// to the user, and one that is another by tags and sound is not. The records are what
// measuring says.
func TestNewVersionKeepsItsMarks(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	made := func(change func(r *track.Record)) track.Record {
		r := madeup.Record(rng, 1)
		r.Tags.Title, r.Tags.ISRC, r.Tempo.BPM, r.File.DurationS, r.Fingerprint = "", "", 126, 300, "x"
		change(&r)
		return r
	}
	for _, c := range []struct {
		name   string
		others bool // files on the stick that stay
		change func(r *track.Record)
		keeps  bool
	}{
		{"saved anew", true, func(r *track.Record) {}, true},
		{"saved anew, shorter", true, func(r *track.Record) { r.File.DurationS = 280 }, true},
		{"saved anew, faster", true, func(r *track.Record) { r.Tempo.BPM = 128 }, true},
		{"another length and another tempo", true, func(r *track.Record) { r.File.DurationS, r.Tempo.BPM = 280, 128 }, false},
		{"the same at half the tempo", true, func(r *track.Record) { r.File.DurationS, r.Tempo.BPM = 280, 63 }, true},
		{"another length, no tempo", true, func(r *track.Record) { r.File.DurationS, r.Tempo.BPM = 280, detect.None }, true},
		{"the same title", true, func(r *track.Record) {
			r.Tags.Title, r.File.DurationS, r.Tempo.BPM = "NIGHT BUS", 280, 128
		}, true},
		{"alone, another length", false, func(r *track.Record) { r.File.DurationS = 280 }, false},
		{"alone, another tempo", false, func(r *track.Record) { r.Tempo.BPM = 128 }, false},
		{"alone, saved anew", false, func(r *track.Record) {}, true},
		{"nothing to go by", false, func(r *track.Record) { r.File.DurationS, r.Fingerprint = 280, "" }, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, db := t.TempDir(), openTemp(t)
			madeup.WriteFile(t, dir+"/01.wav", madeup.WAV(1, 500))
			if c.others {
				madeup.WriteFile(t, dir+"/02.wav", madeup.WAV(2, 500))
			}
			says := made(func(r *track.Record) { r.Tags.Title = "Night Bus" })
			scanSays := func() {
				t.Helper()
				measure := func(context.Context, FS, string, func(float64)) (track.Record, error, error) { return says, nil, nil }
				if _, err := Run(context.Background(), db, []string{dir}, Options{measure: measure}); err != nil {
					t.Fatal(err)
				}
			}
			scanSays()
			old := byPath(t, db, "01.wav")
			mark(t, db, old.ID)
			madeup.WriteFile(t, dir+"/01.wav", madeup.WAV(3, 700))
			says = made(c.change)
			scanSays()
			now := byPath(t, db, "01.wav")
			if now.Marks.Reference != c.keeps || (now.ID == old.ID) != c.keeps {
				t.Errorf("marks %+v, number %d after %d; keeps them: want %v", now.Marks, now.ID, old.ID, c.keeps)
			}
			madeup.WriteFile(t, dir+"/01 again.wav", madeup.WAV(1, 500)) // the old content turns up
			scanSays()
			if again := byPath(t, db, "01 again.wav"); again.Marks.Reference == c.keeps {
				t.Errorf("the old content has marks %+v", again.Marks)
			}
		})
	}
}
