package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

// errBadFolder: what was given is no folder to scan.
var errBadFolder = errors.New("no folder to scan")

// folderError says what is wrong with a folder, and what to do.
type folderError string

func (e folderError) Error() string        { return string(e) }
func (e folderError) Is(target error) bool { return target == errBadFolder }

// noMusicIn are folders in which the system shows itself as files (proc(5), sysfs(5)); reading
// them as music would never end.
var noMusicIn = []string{"/proc", "/sys", "/dev"}

// scannable is a folder as it was typed, absolute and clean, or an error that says what is wrong
// with it. Nothing is opened but the folder itself, so that no pipe or device is waited for.
func (s *Server) scannable(typed string) (string, error) {
	dir := unquoted(typed)
	if home, err := os.UserHomeDir(); err == nil && (dir == "~" || strings.HasPrefix(dir, "~/")) {
		dir = home + dir[1:]
	}
	switch {
	case dir == "":
		return "", folderError("type the folder that your tracks lie in")
	case strings.ContainsRune(dir, 0):
		return "", folderError("a folder's name cannot hold that sign: type it again")
	case !filepath.IsAbs(dir):
		return "", folderError(fmt.Sprintf("give the whole path of the folder, such as %s", examplePath()))
	}
	dir = filepath.Clean(dir)
	if dir == filepath.VolumeName(dir)+string(filepath.Separator) && runtime.GOOS != "windows" || slices.ContainsFunc(noMusicIn, func(at string) bool { return dir == at || strings.HasPrefix(dir, at+"/") }) {
		return "", folderError(words.Clean(dir) + " is the system's own: give the folder that your tracks lie in")
	}
	if err := s.listable(dir); err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(dir)
}

// unquoted drops blanks around a path, and the quotes in which file managers copy one.
func unquoted(s string) string {
	s = strings.TrimSpace(s)
	for _, q := range []string{`"`, `'`} {
		if inner, ok := strings.CutPrefix(s, q); ok && len(s) > 1 && strings.HasSuffix(inner, q) {
			return strings.TrimSuffix(inner, q)
		}
	}
	return s
}

func examplePath() string {
	if runtime.GOOS == "windows" {
		return `E:\Music`
	}
	return "/media/STICK"
}

// listable says what is wrong with a folder that cannot be listed, or is a library whose stick is
// not there.
func (s *Server) listable(dir string) error {
	shown := words.Clean(dir)
	fi, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return folderError("there is no folder " + shown + ": check the name, and that the stick is plugged in")
	case err == nil && !fi.IsDir() && fi.Mode().IsRegular():
		return folderError(shown + " is a file: give the folder that it lies in")
	case err == nil && !fi.IsDir():
		return folderError(shown + " is no folder: give the folder that your tracks lie in")
	}
	empty := false
	if err == nil {
		empty, err = isEmpty(dir)
	}
	switch {
	case errors.Is(err, fs.ErrPermission):
		return folderError(shown + " may not be read: give yourself the right to read it")
	case err != nil:
		return folderError(shown + " cannot be read (" + words.Clean(library.Reason(err).Error()) + "): check the disk")
	case empty && s.hasTracksAt(dir):
		return folderError(shown + " is empty, and there were tracks in it: plug the stick in again")
	}
	return nil
}

func isEmpty(dir string) (bool, error) {
	d, err := os.Open(dir)
	if err != nil {
		return false, err
	}
	defer d.Close()
	if _, err = d.Readdirnames(1); errors.Is(err, io.EOF) {
		return true, nil
	}
	return false, err
}

// hasTracksAt tells that a folder is a library that was scanned.
func (s *Server) hasTracksAt(dir string) bool {
	roots, err := s.opts.Scanner.Roots(context.Background())
	return err == nil && slices.Contains(roots, dir)
}
