package output

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
)

// open are the temporary files of this process; once abandoned, there are no more.
var open = struct {
	mu        sync.Mutex
	files     map[*temporary]bool
	abandoned bool
}{files: map[*temporary]bool{}}

// Abandon removes the temporary files of writes that are not done. It is for a
// program that ends while they go on: none of them comes to its end any more.
func Abandon() {
	open.mu.Lock()
	defer open.mu.Unlock()
	open.abandoned = true
	for t := range open.files {
		t.drop()
	}
}

// temporary is a file on its way. Its name says whose it is.
type temporary struct{ file *os.File }

// prefix starts the names of temporary files; the process's number follows.
const prefix = ".dubgauge-"

func newTemporary(dir string) (*temporary, error) {
	sweep(dir)
	open.mu.Lock()
	defer open.mu.Unlock()
	if open.abandoned {
		return nil, context.Canceled
	}
	f, err := os.CreateTemp(dir, fmt.Sprintf("%s%d-*.tmp", prefix, os.Getpid()))
	if err != nil {
		return nil, err
	}
	t := &temporary{f}
	open.files[t] = true
	return t, nil
}

// finish brings what was written to the disk and closes the file.
func (t *temporary) finish(mode fs.FileMode) error {
	return errors.Join(t.file.Chmod(mode), t.file.Sync(), t.file.Close())
}

// rename gives the file its name, unless the program has been told to end.
func (t *temporary) rename(ctx context.Context, target string) error {
	open.mu.Lock()
	defer open.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	if open.abandoned {
		return context.Canceled
	}
	if err := os.Rename(t.file.Name(), target); err != nil {
		return err
	}
	delete(open.files, t)
	syncFolder(filepath.Dir(target))
	return nil
}

// syncFolder has the new name outlast a power cut. Not every system can; the file
// itself is on the disk in any case.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}

// remove does away with a file that got no name.
func (t *temporary) remove() {
	open.mu.Lock()
	defer open.mu.Unlock()
	t.drop()
}

func (t *temporary) drop() {
	if open.files[t] {
		delete(open.files, t)
		_ = t.file.Close() // an open file cannot be removed everywhere
		_ = os.Remove(t.file.Name())
	}
}

// sweep removes temporary files of processes that were killed, which could not.
func sweep(dir string) {
	names, err := filepath.Glob(filepath.Join(dir, prefix+"*.tmp"))
	if err != nil {
		return
	}
	for _, name := range names {
		number, _, _ := strings.Cut(strings.TrimPrefix(filepath.Base(name), prefix), "-")
		if pid, err := strconv.Atoi(number); err == nil && gone(pid) {
			_ = os.Remove(name)
		}
	}
}

// gone tells that no process of that number runs here.
func gone(pid int) bool {
	p, err := os.FindProcess(pid)
	if err != nil {
		return true
	}
	defer p.Release()
	return errors.Is(p.Signal(syscall.Signal(0)), os.ErrProcessDone)
}
