package scan

import (
	"dubgauge/decode"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// FS is the file system that a scan reads. Names are paths of the operating
// system. A test puts a failing disk behind it.
type FS interface {
	// Lstat does not follow a link; Stat does.
	Lstat(name string) (fs.FileInfo, error)
	Stat(name string) (fs.FileInfo, error)
	// ReadDir lists a folder sorted by name; what was read before an error is
	// returned with it.
	ReadDir(name string) ([]fs.DirEntry, error)
	// Resolve follows every link in name.
	Resolve(name string) (string, error)
	// Open opens for reading only.
	Open(name string) (File, error)
}

// File is an open file of an FS.
type File interface {
	io.ReaderAt
	io.Closer
	Stat() (fs.FileInfo, error)
}

// OS is the operating system's file system.
var OS FS = osFS{}

type osFS struct{}

func (osFS) Lstat(name string) (fs.FileInfo, error)     { return os.Lstat(name) }
func (osFS) Stat(name string) (fs.FileInfo, error)      { return os.Stat(name) }
func (osFS) ReadDir(name string) ([]fs.DirEntry, error) { return os.ReadDir(name) }
func (osFS) Resolve(name string) (string, error)        { return filepath.EvalSymlinks(name) }

// Open opens regular files only, and never blocks.
func (osFS) Open(name string) (File, error) {
	f, _, err := decode.OpenRegular(name)
	if err != nil {
		return nil, err
	}
	return f, nil
}
