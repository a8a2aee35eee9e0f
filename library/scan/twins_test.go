package scan

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
)

// TestCopiesAreDecodedOnce: of many copies that are new one is measured and the others
// take its figures; a file that has the same size and the same samples but one byte that
// differs where no sample is taken is measured by itself.
func TestCopiesAreDecodedOnce(t *testing.T) {
	dir := t.TempDir()
	long := madeup.WAV(7, longSamples)
	for i := range 9 {
		madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("%d/copy %d.wav", i%2, i)), long)
	}
	other := slices.Clone(long)
	other[blindSpot] ^= 0x55
	madeup.WriteFile(t, filepath.Join(dir, "1/other.wav"), other)
	madeup.WriteFile(t, filepath.Join(dir, "short.wav"), madeup.WAV(8, 4000))
	db := openTemp(t)
	r, _ := scanCounted(t, db, Options{Workers: 3}, dir)
	if r.Measured != 3 || r.Copied != 8 || r.Total != 11 {
		t.Errorf("%+v, want 3 measured and 8 copied", r)
	}
	for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
		data, err := os.ReadFile(tr.DiskPath())
		if err != nil {
			t.Fatal(err)
		}
		if tr.Loudness.Loudest30sLUFS != round4(levelOf(data)) {
			t.Errorf("%s has the level %v, not that of its own bytes", tr.Path, tr.Loudness.Loudest30sLUFS)
		}
	}
	if r, n := scanCounted(t, db, Options{}, dir); n != 0 || r.Unchanged != 11 {
		t.Errorf("again: %+v", r)
	}
}

// TestTwoCopies are enough, and both count as done.
func TestTwoCopies(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.wav", "b.wav"} {
		madeup.WriteFile(t, filepath.Join(dir, name), madeup.WAV(7, 5000))
	}
	var last Progress
	r, n := scanCounted(t, openTemp(t), Options{Progress: func(p Progress) { last = p }}, dir)
	if n != 1 || r.Copied != 1 || last.Done != 2 || last.Moved != 1 || last.Total != 2 {
		t.Errorf("%d measured, report %+v, progress %+v", n, r, last)
	}
}

// TestCopiesOfWhatCannotBeRead are measured each for itself: nothing is taken from a file
// that gave nothing.
func TestCopiesOfWhatCannotBeRead(t *testing.T) {
	dir := t.TempDir()
	bad := []byte("RIFF....WAVE no more than that, over and over again, of a file that is none")
	for i := range 4 {
		madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("bad %d.wav", i)), bad)
	}
	db := openTemp(t)
	r, err := Run(context.Background(), db, []string{dir}, Options{})
	if err != nil || r.Total != 4 || r.Measured+r.Copied != 4 {
		t.Fatalf("%+v, error %v", r, err)
	}
	for _, tr := range tracksOf(t, db, store.TrackOptions{}) {
		if tr.Error == nil {
			t.Errorf("%s is not named as unreadable", tr.Path)
		}
	}
}

// TestLongFilesFirst: a set of two hours is begun before tracks, by the size and what its
// format needs for a second, and tracks are measured in their order.
func TestLongFilesFirst(t *testing.T) {
	const minute = 44100 * 4 * 60 // bytes of a WAV file
	files := []*file{}
	for _, c := range []struct {
		name string
		size int64
	}{{"a.wav", 6 * minute}, {"b.wav", 3 * minute}, {"c.wav", 20 * minute}, {"d.wav", 7 * minute}, {"set.mp3", 19 * minute}, {"e.wav", 14 * minute}} {
		files = append(files, &file{File: store.File{Rel: c.name, Size: c.size}})
	}
	longFirst(files)
	var order []string
	for _, f := range files {
		order = append(order, f.Rel)
	}
	if want := []string{"set.mp3", "c.wav", "a.wav", "b.wav", "d.wav", "e.wav"}; !slices.Equal(order, want) {
		t.Errorf("begun in the order %v, want %v", order, want)
	}
}
