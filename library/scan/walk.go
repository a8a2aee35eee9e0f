package scan

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"dubgauge/library/store"
)

// found is a file that may hold a track.
type found struct {
	rel   string // relative to the walked folder, as on the disk, forward slashes
	size  int64
	mtime int64 // ns since 1970
}

// walker collects the candidates below one folder. Links are followed once
// everything that is reached without them is known, so that nothing is found
// twice and no loop is walked.
type walker struct {
	ctx      context.Context
	fsys     FS
	root     string   // as it is opened
	roots    []string // of all walks of this scan: no link may lead to what holds them
	others   []string // other libraries, and other folders of this scan: what lies in them is a track there
	files    []found
	problems []store.Problem
	unread   []string // folders, relative, that could not be listed: "" is the root
	vanished bool     // a file was gone before it was looked at
	links    []string // relative
	folders  map[string]bool
	real     map[string]bool // files by their real path; only filled once there are links
	onFound  func(n int)     // told now and then how many there are
}

// walk lists the candidates below root. The error is of the root itself or of a
// medium that is gone; a folder that cannot be listed is a problem.
func (w *walker) walk() error {
	w.folders = map[string]bool{}
	if err := w.folder("", w.root); err != nil {
		return err
	}
	w.followLinks()
	if err := w.ctx.Err(); err != nil {
		return err
	}
	if len(w.unread) > 0 || w.vanished {
		if gone := w.rootGone(); gone != nil {
			return gone
		}
	}
	sort.Slice(w.files, func(i, j int) bool { return w.files[i].rel < w.files[j].rel })
	return nil
}

func (w *walker) problem(rel, detail string) {
	w.problems = append(w.problems, store.Problem{Path: filepath.Join(w.root, filepath.FromSlash(rel)), Detail: detail})
}

// folder lists one folder; real is its path without links.
func (w *walker) folder(rel, real string) error {
	if w.folders[real] {
		return nil
	}
	w.folders[real] = true
	if err := w.ctx.Err(); err != nil {
		return err
	}
	entries, err := w.fsys.ReadDir(real)
	if err != nil {
		if gone := w.rootGone(); gone != nil {
			return gone
		}
		if rel == "" {
			return fmt.Errorf("%s: the folder cannot be read: %s", w.root, explainOS(err))
		}
		w.unread = append(w.unread, rel)
		w.problem(rel, "this folder was left out: "+explainOS(err))
	}
	for _, e := range entries {
		name := e.Name()
		if skipName(name) {
			continue
		}
		child := name
		if rel != "" {
			child = rel + "/" + name
		}
		path := real + string(filepath.Separator) + name
		switch mode := e.Type(); {
		case mode.IsDir():
			if err := w.folder(child, path); err != nil {
				return err
			}
		case mode&fs.ModeSymlink != 0:
			w.links = append(w.links, child)
		case mode.IsRegular():
			w.file(child, path, e.Info)
		case slices.Contains(audioEndings, ending(name)):
			w.problem(child, "is named like a track but is not a regular file")
		}
	}
	return nil
}

// rootGone tells an unreadable folder from a disk that was pulled out.
func (w *walker) rootGone() error {
	if err := placeGone(w.fsys, w.root); err != nil {
		return &MediumError{Root: w.root, Err: err}
	}
	return nil
}

func (w *walker) file(rel, path string, info func() (fs.FileInfo, error)) {
	end := ending(rel)
	if slices.Contains(otherEndings, end) {
		return
	}
	fi, err := info()
	if errors.Is(err, fs.ErrNotExist) {
		w.vanished = true
		return // deleted this moment
	}
	if err != nil {
		w.unread = append(w.unread, rel)
		w.problem(rel, explainOS(err))
		return
	}
	if !slices.Contains(audioEndings, end) {
		if fi.Size() == 0 {
			return
		}
		if audio, err := soundsLike(w.fsys, path); err != nil || !audio {
			if err != nil {
				w.unread = append(w.unread, rel)
				w.problem(rel, explainOS(err))
			}
			return
		}
	}
	w.files = append(w.files, found{rel, fi.Size(), fi.ModTime().UnixNano()})
	if w.onFound != nil && len(w.files)%500 == 0 {
		w.onFound(len(w.files))
	}
}

// systemFolders hold what operating systems keep on a disk, never tracks.
// Compared in lower case.
var systemFolders = []string{"system volume information", "$recycle.bin", "recycler", "recycled", "lost+found", "__macosx",
	"found.000", "found.001", "#recycle", "@eadir", "lost.dir"}

// skipName tells names that are passed over: hidden ones (a leading dot, which
// also covers ._ files, .Trashes and .Spotlight-V100) and system folders.
func skipName(name string) bool {
	return name[0] == '.' || slices.Contains(systemFolders, strings.ToLower(name))
}
