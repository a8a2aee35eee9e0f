package scan

import (
	"errors"
	"io/fs"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"dubgauge/library/track"
)

// followLinks walks what the links lead to, unless it was found already.
func (w *walker) followLinks() {
	if len(w.links) == 0 {
		return
	}
	w.real = make(map[string]bool, len(w.files))
	for _, f := range w.files {
		w.real[w.root+string(filepath.Separator)+filepath.FromSlash(f.rel)] = true
	}
	for len(w.links) > 0 && w.ctx.Err() == nil {
		links := w.links
		w.links = nil
		sort.Strings(links)
		for _, rel := range links {
			w.link(rel)
		}
	}
}

func (w *walker) link(rel string) {
	path := filepath.Join(w.root, filepath.FromSlash(rel))
	real, err := w.fsys.Resolve(path)
	if err != nil {
		if slices.Contains(audioEndings, ending(rel)) || !errors.Is(err, fs.ErrNotExist) {
			w.problem(rel, "this link leads nowhere: "+explainOS(err))
		}
		return
	}
	if other := w.otherLibrary(real); other != "" {
		w.problem(rel, "this link was not followed: it leads into "+other+", whose tracks are listed there")
		return
	}
	fi, err := w.fsys.Stat(real)
	switch {
	case err != nil:
		w.problem(rel, "where this link leads cannot be read: "+explainOS(err))
	case fi.IsDir():
		for _, root := range w.roots {
			if track.Below(root, real) {
				w.problem(rel, "this link was not followed: it leads to a folder that holds the library itself")
				return
			}
		}
		before := len(w.files)
		// What a link leads to may be gone without the library's being so.
		if err := w.folder(rel, real); err == nil {
			w.forget(before, rel, real)
		}
	case fi.Mode().IsRegular():
		if !w.real[real] {
			w.real[real] = true
			w.file(rel, real, func() (fs.FileInfo, error) { return fi, nil })
		}
	}
}

// otherLibrary is the other folder of tracks that real lies in, or is; empty for none.
func (w *walker) otherLibrary(real string) string {
	if track.Below(real, w.root) {
		return ""
	}
	for _, other := range w.others {
		if other != w.root && (real == other || track.Below(real, other)) {
			return other
		}
	}
	return ""
}

// forget drops the files from index before on that links had led to already.
func (w *walker) forget(before int, rel, real string) {
	kept := w.files[:before]
	for _, f := range w.files[before:] {
		p := filepath.Join(real, filepath.FromSlash(strings.TrimPrefix(f.rel, rel)))
		if !w.real[p] {
			w.real[p] = true
			kept = append(kept, f)
		}
	}
	w.files = kept
}
