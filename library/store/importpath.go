package store

import (
	"errors"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"strings"

	"dubgauge/decode"
	"dubgauge/library/track"
)

// fileOf finds where the record's file belongs and, if it is here, what it is
// like now.
func (im *importer) fileOf(r *track.Record) (*File, error) {
	rel, err := im.relative(r.Path)
	if err != nil {
		return nil, err
	}
	f := &File{Place: &im.place, Rel: rel, Path: track.ShownPath(rel), Size: r.Measurement.File.SizeBytes}
	fi, err := os.Stat(f.Disk())
	if err != nil {
		return f, nil
	}
	if fi.IsDir() {
		return nil, fmt.Errorf("%s: is a folder", r.Path)
	}
	if fi.Size() != f.Size {
		return nil, fmt.Errorf("%s: the file has %d bytes, the record is of one with %d: measure it anew", r.Path, fi.Size(), f.Size)
	}
	h, _, err := decode.OpenRegular(f.Disk())
	if err != nil {
		return f, nil
	}
	defer h.Close()
	if content, err := track.ContentOf(h, f.Size); err == nil {
		f.Content, f.MTime = content, fi.ModTime().UnixNano()
	}
	return f, nil
}

// relative is the path of a record within its root, as on the disk.
func (im *importer) relative(p string) (string, error) {
	if strings.ContainsRune(p, 0) {
		return "", errors.New("its path holds a NUL")
	}
	outside := fmt.Errorf("%s: does not lie in %s", cleanText(p), im.place.Dir)
	if filepath.IsAbs(p) {
		return im.below(p, outside)
	}
	inRoot := filepath.Join(im.place.Dir, filepath.FromSlash(p))
	if _, err := os.Lstat(inRoot); err != nil {
		if abs, e := filepath.Abs(p); e == nil {
			if _, e := os.Lstat(abs); e == nil {
				if rel, e := im.below(abs, outside); e == nil {
					return rel, nil
				}
			}
		}
	}
	return im.below(inRoot, outside)
}

func (im *importer) below(abs string, outside error) (string, error) {
	abs = filepath.Clean(abs)
	if real, err := filepath.EvalSymlinks(filepath.Dir(abs)); err == nil && track.Below(filepath.Join(real, filepath.Base(abs)), im.place.Dir) {
		abs = filepath.Join(real, filepath.Base(abs))
	}
	if !track.Below(abs, im.place.Dir) {
		return "", outside
	}
	rel, err := filepath.Rel(im.place.Root, abs)
	if err != nil {
		return "", outside
	}
	return path.Clean(filepath.ToSlash(rel)), nil
}
