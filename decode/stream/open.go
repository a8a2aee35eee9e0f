package stream

import (
	"fmt"
	"io/fs"
	"os"
)

// OpenRegular opens a file for reading, and nothing else: no folder, pipe or device, also
// where one stands since a moment ago. It never blocks: what was opened is asked what it is,
// and a pipe nobody writes to opens at once (POSIX.1-2017, open, O_NONBLOCK).
func OpenRegular(path string) (*os.File, fs.FileInfo, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|nonblock, 0)
	if err != nil {
		return nil, nil, err
	}
	fi, err := f.Stat()
	if err == nil && !fi.Mode().IsRegular() {
		err = fmt.Errorf("%s: not a regular file", path)
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, fi, nil
}
