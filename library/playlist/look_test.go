package playlist

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/madeup"
)

// TestLook finds lists by their names, in folders within folders, and no others.
func TestLook(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"b/friday.M3U8", "b/c/old.m3u", "a.xspf", "b/table.csv", "b/song.wav", ".hidden/x.m3u", "b/._ghost.m3u", "d.m3u/inside.m3u"} {
		madeup.WriteFile(t, filepath.Join(dir, name), nil)
	}
	want := []string{"a.xspf", "b/c/old.m3u", "b/friday.M3U8", "d.m3u/inside.m3u"}
	for i := range want {
		want[i] = filepath.Join(dir, want[i])
	}
	got, all, err := Look(context.Background(), []string{filepath.Join(dir, "gone"), dir})
	slices.Sort(got)
	slices.Sort(want)
	if d := cmp.Diff(want, got); d != "" || !all || err != nil {
		t.Errorf("all %v, %v: %s", all, err, d)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, all, err := Look(ctx, []string{dir}); all || err != context.Canceled {
		t.Error(all, err)
	}
	for i := range mostLists + 1 {
		madeup.WriteFile(t, filepath.Join(dir, "many", fmt.Sprintf("%d.m3u", i)), nil)
	}
	if got, all, err := Look(context.Background(), []string{filepath.Join(dir, "many")}); len(got) != mostLists || all || err != nil {
		t.Errorf("%d lists, all %v, %v", len(got), all, err)
	}
}
