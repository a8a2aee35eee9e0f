package scan

import (
	"errors"
	"io/fs"
	"sync"

	"dubgauge/library/track"
)

// mediumLimit is how many files in a row the disk may fail to read before the
// scan stops: single bad sectors are got over, a dying disk is not worn out.
const mediumLimit = 5

// medium keeps watch over the disk.
type medium struct {
	mu   sync.Mutex
	bad  []*mediumFault // since the last file that could be read
	stop error
}

type mediumFault struct {
	f      *file
	record track.Record
}

// good is told of every file that could be read; it returns those before it
// that could not, whose own fault it then is.
func (m *medium) good() []*mediumFault {
	m.mu.Lock()
	defer m.mu.Unlock()
	bad := m.bad
	if m.stop != nil {
		return nil
	}
	m.bad = nil
	return bad
}

func (m *medium) gone() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.stop
}

func (m *medium) fail(root string, err error, fault *mediumFault) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if fault != nil {
		m.bad = append(m.bad, fault)
	}
	if m.stop == nil && (fault == nil || len(m.bad) >= mediumLimit) {
		m.stop = &MediumError{Root: root, Err: err}
	}
}

func (s *scan) stopped() bool { return s.medium.gone() != nil }

// isMedium tells an error of the disk from one about a single file's rights.
func isMedium(err error) bool {
	return err != nil && !errors.Is(err, fs.ErrPermission) && !errors.Is(err, errNoFile)
}

// placeGone tells that a folder in which there were files is not there any more, or
// empty, as the mount point of a stick that was pulled out. It is for a folder in which
// something was not found.
func placeGone(fsys FS, dir string) error {
	if _, err := fsys.Stat(dir); err != nil {
		return err
	}
	if entries, err := fsys.ReadDir(dir); err == nil && len(entries) == 0 {
		return &fs.PathError{Op: "open", Path: dir, Err: errEmpty}
	}
	return nil
}

// errEmpty: a folder has nothing in it any more.
var errEmpty = errors.New("the folder is empty")

// noteMedium stops the scan when a disk is gone. It is for errors while files
// are compared; those while measuring also count.
func (s *scan) noteMedium(f *file, err error) {
	if !isMedium(err) {
		return
	}
	if placeGone(s.o.FS, f.Place.Dir) != nil {
		s.medium.fail(f.Place.Dir, err, nil)
	}
}
