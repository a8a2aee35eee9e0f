package scan

import (
	"io/fs"
	"path/filepath"
	"slices"
	"time"
)

// Glance counts the files below dir that are named like tracks, for as long as it may take and
// no longer: whole is false where there is more to look at. Links are not followed, and what
// cannot be listed counts as nothing.
func Glance(dir string, limit time.Duration) (tracks int, whole bool) {
	until := time.Now().Add(limit)
	whole = true
	_ = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		switch {
		case time.Now().After(until):
			whole = false
			return fs.SkipAll
		case err != nil && d != nil && d.IsDir():
			return fs.SkipDir
		case err != nil:
			return nil
		case path != dir && skipName(d.Name()) && d.IsDir():
			return fs.SkipDir
		case d.Type().IsRegular() && !skipName(d.Name()) && slices.Contains(audioEndings, ending(d.Name())):
			tracks++
		}
		return nil
	})
	return tracks, whole
}
