package scan

import (
	"context"
	"time"

	"dubgauge/library/store"
)

// retryChanged is how long a file that changed while it was measured is left alone
// before it is measured anew, and retries how often that is tried: a copy to a stick
// shows itself every second or so, and a scan does not wait for one that takes minutes.
var retryChanged = 2 * time.Second // shorter in a test

const retries = 3

// changed tells that a file is no longer what the scan found, and takes it as it is
// now.
func (s *scan) changed(f *file) bool {
	fi, err := s.o.FS.Stat(f.Disk())
	if err != nil || fi.Size() == f.Size && fi.ModTime().UnixNano() == f.MTime {
		return false // what cannot be looked at is for the reading to say
	}
	f.Size, f.MTime = fi.Size(), fi.ModTime().UnixNano()
	return true
}

// putOff keeps a file that changed for the end of the scan.
func (s *scan) putOff(worker int, f *file) {
	s.progress.finished(worker, f, 0, func(*Progress) {})
	s.mu.Lock()
	defer s.mu.Unlock()
	s.late = append(s.late, f)
}

// measureLate measures the files that changed while they were measured, and names them.
func (s *scan) measureLate(ctx context.Context, ss *store.Session) error {
	said := append([]*file{}, s.late...)
	for range retries {
		if len(s.late) == 0 {
			break
		}
		if err := pause(ctx, retryChanged); err != nil {
			return err
		}
		files := s.late
		s.late = nil
		for _, f := range files {
			s.changed(f)
		}
		if _, err := s.measureAll(ctx, ss, files); err != nil {
			return err
		}
	}
	open := map[*file]bool{}
	for _, f := range s.late {
		open[f] = true
	}
	for _, f := range said {
		detail := "changed while it was measured, so it was measured again"
		if open[f] {
			detail = "is still being written, so it was left out: scan again when the copy is done"
		}
		s.report.Problems = append(s.report.Problems, store.Problem{Path: f.Disk(), Detail: detail})
	}
	return nil
}

// awaitStamp waits until a change of a file would show in its time stamp: a medium that
// keeps whole seconds may keep two alike, and what is saved in these would not be seen.
func awaitStamp(ctx context.Context, f *file) error {
	if f.MTime%int64(time.Second) != 0 {
		return nil
	}
	if age := time.Since(time.Unix(0, f.MTime)); age >= 0 && age < fatStep {
		return pause(ctx, fatStep-age)
	}
	return nil
}

// pause waits, unless ctx ends.
func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}
