package scan

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
)

// Errors about what was to be scanned.
var (
	// ErrNoFolder: no folder was given.
	ErrNoFolder = errors.New("no folder was given")
	// ErrNotFolder: what was to be scanned is no folder.
	ErrNotFolder = errors.New("not a folder")
)

// MediumError says that a scan stopped since the disk no longer answers. What
// was measured before is stored.
type MediumError struct {
	Root string
	Err  error
}

func (e *MediumError) Error() string {
	return fmt.Sprintf("%s: the disk no longer answers (%v)", e.Root, Reason(e.Err))
}

func (e *MediumError) Unwrap() error { return e.Err }

// explainOS puts an error of the operating system into words with the next
// step.
func explainOS(err error) string {
	switch {
	case errors.Is(err, fs.ErrPermission):
		return "permission denied: give yourself the right to read it"
	case errors.Is(err, fs.ErrNotExist):
		return "not found: it was moved or deleted, or the disk was pulled out"
	case errors.Is(err, syscall.EIO):
		return "the disk reports a read error: copy the file again from another source"
	case errors.Is(err, syscall.ELOOP):
		return "too many links: it leads to itself"
	}
	return Reason(err).Error()
}

// Reason drops what an error of the operating system says about the path, for
// messages that name it already.
func Reason(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
