package scan

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"sort"

	"dubgauge/library/track"
)

// resolveDirs turns what was given into folders of which none lies in another.
// all also has those that do, for their patterns.
func resolveDirs(fsys FS, dirs []string) (tops, all []string, err error) {
	if len(dirs) == 0 {
		return nil, nil, ErrNoFolder
	}
	for _, d := range dirs {
		abs, err := filepath.Abs(d)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", d, err)
		}
		fi, err := fsys.Stat(abs)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil, nil, fmt.Errorf("%s: there is no such folder: check the name, and that the disk is plugged in: %w", d, fs.ErrNotExist)
		case err != nil:
			return nil, nil, fmt.Errorf("%s: cannot be read: %s: %w", d, explainOS(err), err)
		case !fi.IsDir():
			return nil, nil, fmt.Errorf("%s: %w", d, ErrNotFolder)
		}
		real, err := fsys.Resolve(abs)
		if err != nil {
			return nil, nil, fmt.Errorf("%s: cannot be read: %s: %w", d, explainOS(err), err)
		}
		all = append(all, real)
	}
	sort.Strings(all)
	for _, d := range all {
		inside := false
		for _, t := range tops {
			inside = inside || d == t || track.Below(d, t)
		}
		if !inside {
			tops = append(tops, d)
		}
	}
	return tops, all, nil
}
