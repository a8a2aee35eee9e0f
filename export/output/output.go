// Package output writes what goes out to files, so that nothing is destroyed by a
// name that was typed wrong: a file is replaced only when this program wrote it, or
// when that is asked for; music of a library, databases and what is no regular file
// never are. A file appears under its name only when it is whole and on the disk.
package output

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Options of Write.
type Options struct {
	// Overwrite replaces files that this program did not write.
	Overwrite bool
	// Fresh replaces nothing at all, not even an empty file.
	Fresh bool
	// Ours tells, by the first bytes of a file, that this program wrote it.
	Ours func(head []byte) bool
	// Keep says why a file must stay whatever is asked for, "" when it need not. The
	// path is absolute and has no links in it.
	Keep func(path string) (why string, err error)
}

// Refusal says why nothing was written.
type Refusal struct {
	Path, Why string
}

func (r *Refusal) Error() string { return r.Path + ": " + r.Why }

// headBytes is how much of a file is looked at to tell whose it is: a record in one
// line has some 10 KB.
const headBytes = 64 << 10

// Write has write write the file at path. Its errors are a *Refusal, that of ctx, or
// one of the system; the file is then as it was, and nothing is left beside it.
func Write(ctx context.Context, path string, o Options, write func(io.Writer) error) error {
	return WriteFile(ctx, path, o, func(w io.WriteSeeker) error { return write(w) })
}

// WriteFile is Write for what goes back to its beginning once the rest is known.
func WriteFile(ctx context.Context, path string, o Options, write func(io.WriteSeeker) error) error {
	target, mode, err := o.check(path)
	if err != nil {
		return err
	}
	t, err := newTemporary(filepath.Dir(target))
	if err != nil {
		return err
	}
	defer t.remove()
	if err := write(stoppable{ctx, t.file}); err != nil {
		return err
	}
	if err := t.finish(mode); err != nil {
		return err
	}
	if _, _, err := o.check(path); err != nil { // somebody may have been here since
		return err
	}
	return t.rename(ctx, target)
}

// stoppable is a writer that fails once its context has ended.
type stoppable struct {
	ctx context.Context
	io.WriteSeeker
}

func (s stoppable) Write(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.WriteSeeker.Write(b)
}

// newMode is that of a file that was not there.
const newMode = 0o644

// check finds the file that a path means, links followed, and its permissions, and
// refuses where it must not be written.
func (o *Options) check(path string) (target string, mode fs.FileMode, err error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return "", 0, err
	}
	dir, err := filepath.EvalSymlinks(filepath.Dir(abs))
	if errors.Is(err, fs.ErrNotExist) {
		return "", 0, &Refusal{filepath.Dir(path), "there is no such folder: make it, or choose another"}
	}
	if err != nil {
		return "", 0, err
	}
	abs = filepath.Join(dir, filepath.Base(abs))
	fi, err := os.Lstat(abs)
	if errors.Is(err, fs.ErrNotExist) {
		return abs, newMode, o.keep(path, abs)
	}
	if err != nil {
		return "", 0, err
	}
	if fi.Mode()&fs.ModeSymlink != 0 {
		if abs, err = filepath.EvalSymlinks(abs); err != nil {
			return "", 0, &Refusal{path, "is a link that leads nowhere: choose another name"}
		}
		if fi, err = os.Stat(abs); err != nil {
			return "", 0, err
		}
	}
	return abs, fi.Mode().Perm(), o.allow(path, abs, fi)
}

// allow refuses to replace a file that is there.
func (o *Options) allow(path, abs string, fi fs.FileInfo) error {
	switch {
	case fi.IsDir():
		return &Refusal{path, "is a folder: name a file in it"}
	case !fi.Mode().IsRegular():
		return &Refusal{path, "is not a regular file: choose another name, or -o - for standard output"}
	}
	if o.Fresh {
		return &Refusal{path, "is there already: move it away, or choose another folder"}
	}
	if err := o.keep(path, abs); err != nil || o.Overwrite || fi.Size() == 0 {
		return err
	}
	head, err := headOf(abs)
	if err != nil {
		return err
	}
	if o.Ours == nil || !o.Ours(head) {
		return &Refusal{path, "is there already and was not written by dubgauge: choose another name, or give --overwrite to replace it"}
	}
	return nil
}

func (o *Options) keep(path, abs string) error {
	if o.Keep == nil {
		return nil
	}
	why, err := o.Keep(abs)
	if err == nil && why != "" {
		err = &Refusal{path, why}
	}
	return err
}

func headOf(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, headBytes))
}

// Free tells, by an error of Write, that the file at path could not be written; for those
// who have long work before it.
func Free(path string, o Options) error {
	_, _, err := o.check(path)
	return err
}
