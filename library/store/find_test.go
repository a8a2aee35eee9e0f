package store

import (
	"context"
	"errors"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestFind(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	db := filled(t, dir)
	b := byPath(t, db, "House/b.wav")
	t.Chdir(dir)
	for _, c := range []struct {
		query string
		want  []string
	}{
		{"House/b.wav", []string{"House/b.wav"}},
		{"./House/b.wav", []string{"House/b.wav"}},
		{b.DiskPath(), []string{"House/b.wav"}},
		{"b.wav", []string{"House/b.wav"}},
		{"B.WAV", []string{"House/b.wav"}},
		{"#" + strconv.FormatInt(b.ID, 10), []string{"House/b.wav"}},
		{"#999", nil},
		{"house", []string{"House/b.wav", "House/c v7.wav"}},
		{"v7 c", []string{"House/c v7.wav"}},
		{"wav", []string{"House/b.wav", "House/c v7.wav", "a.wav"}},
		{"nothing like it", nil},
		{"", nil},
	} {
		found, err := db.Find(context.Background(), c.query)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, tr := range found {
			got = append(got, tr.Path)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", c.query, diff)
		}
	}
	if _, err := db.Track(context.Background(), 999); !errors.Is(err, ErrNoTrack) {
		t.Errorf("error %v, want %v", err, ErrNoTrack)
	}
}
