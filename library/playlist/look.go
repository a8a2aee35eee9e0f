package playlist

import (
	"context"
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
)

const (
	// mostLooked is how many names are looked at for lists in all roots together: a stick of
	// 50,000 tracks has fewer, and a slow one gives them in a second or two.
	mostLooked = 200_000
	// mostLists is how many are found.
	mostLists = 500
)

// Endings are those of files that are taken for lists by their name. CSV is not: most
// tables are none.
var Endings = []string{".m3u", ".m3u8", ".xspf"}

// Look finds the files in folders, and in the folders in them, that are lists by their
// name, in the order of their paths. Links and hidden folders are not followed. all is false
// where there may be more. A folder that cannot be read is passed over; the error is that of
// ctx.
func Look(ctx context.Context, roots []string) (paths []string, all bool, err error) {
	looked := 0
	for _, root := range roots {
		err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
			if looked++; looked > mostLooked || len(paths) >= mostLists {
				return errMany
			}
			switch {
			case ctx.Err() != nil:
				return ctx.Err()
			case err != nil:
				return fs.SkipDir
			case d.IsDir():
				if p != root && strings.HasPrefix(d.Name(), ".") {
					return fs.SkipDir
				}
				return nil
			}
			if d.Type().IsRegular() && slices.Contains(Endings, strings.ToLower(filepath.Ext(p))) && !strings.HasPrefix(d.Name(), ".") {
				paths = append(paths, p)
			}
			return nil
		})
		if errors.Is(err, errMany) {
			return paths, false, nil
		}
		if ctx.Err() != nil {
			return paths, false, ctx.Err()
		}
	}
	return paths, true, nil
}

// errMany: enough was looked at.
var errMany = errors.New("too many names")
