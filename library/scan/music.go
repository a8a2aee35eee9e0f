package scan

import (
	"context"
	"os"
	"path/filepath"
	"slices"

	"dubgauge/library/store"
)

// IsMusicOf tells that the file at path lies in a library that was scanned, and is
// music by its name or its content. path has no links in it.
func IsMusicOf(ctx context.Context, db *store.DB, path string) (bool, error) {
	roots, err := db.Roots(ctx)
	if err != nil || !liesIn(path, roots) {
		return false, err
	}
	if MusicName(path) {
		return true, nil
	}
	return soundsLike(OS, path)
}

// InLibrary tells that the folder dir, which need not be there yet, lies in a library that
// was scanned, or is one.
func InLibrary(ctx context.Context, db *store.DB, dir string) (bool, error) {
	roots, err := db.Roots(ctx)
	if err != nil {
		return false, err
	}
	abs, err := filepath.Abs(dir)
	return err == nil && liesIn(filepath.Join(abs, "file"), roots), err
}

// liesIn tells that one of the folders above a file is one of roots, by whatever name.
func liesIn(path string, roots []string) bool {
	var infos []os.FileInfo
	for _, r := range roots {
		if fi, err := os.Stat(r); err == nil {
			infos = append(infos, fi)
		}
	}
	for dir := filepath.Dir(path); ; dir = filepath.Dir(dir) {
		fi, err := os.Stat(dir)
		if err == nil && slices.ContainsFunc(infos, func(r os.FileInfo) bool { return os.SameFile(r, fi) }) {
			return true
		}
		if dir == filepath.Dir(dir) {
			return false
		}
	}
}

// MusicName tells that a file of that name is taken for music whatever is in it.
func MusicName(path string) bool { return slices.Contains(audioEndings, ending(path)) }
