package store

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"syscall"
)

// logOf is the write-ahead log beside a database, "" where there is none or an empty
// one.
func logOf(path string) string {
	if fi, err := os.Stat(path + "-wal"); err == nil && fi.Size() > 0 {
		return path + "-wal"
	}
	return ""
}

// copyAside copies a database with its log to a folder of its own: SQLite cannot read a
// log where it may not put its index beside it (sqlite.org/wal.html, "Read-Only
// Databases"), and without the log the last tracks and marks are missing. The caller
// removes the folder.
func copyAside(path string) (dir string, err error) {
	if dir, err = os.MkdirTemp("", "dubgauge-*"); err != nil {
		return "", err
	}
	for _, end := range []string{"", "-wal"} {
		if err := copyFile(path+end, filepath.Join(dir, filepath.Base(path)+end)); err != nil {
			return "", errors.Join(err, os.RemoveAll(dir))
		}
	}
	return dir, nil
}

func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}

// fullProbe is what SQLite needs beside a database at least: one block of the index of
// its log (sqlite.org/walformat.html, 1.1), in bytes.
const fullProbe = 32 << 10

// diskFull tells that there is no room on the disk of a database. SQLite does not say so
// where it is the index of the log that finds none.
func diskFull(path string) bool {
	f, err := os.CreateTemp(filepath.Dir(path), ".dubgauge-*")
	if err != nil {
		return errors.Is(err, syscall.ENOSPC)
	}
	defer os.Remove(f.Name())
	defer f.Close()
	_, err = f.Write(make([]byte, fullProbe))
	return errors.Is(err, syscall.ENOSPC)
}
