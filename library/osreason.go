package library

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"
)

// MediumError says that a scan stopped since the disk no longer answers. What
// was measured before is stored.
type MediumError struct {
	Root string
	Err  error
}

func (e *MediumError) Error() string {
	return fmt.Sprintf("%s: the disk no longer answers (%v): what was measured is kept; plug it in again and repeat the scan, it goes on from here", e.Root, withoutPath(e.Err))
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
	return withoutPath(err).Error()
}
