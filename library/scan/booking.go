package scan

import (
	"context"
	"errors"
	"io/fs"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

func unreadable(r track.Record, err error) track.Record {
	r = track.Record{Path: r.Path, Tags: r.Tags, Measurement: detect.Empty()}
	r.Measurement.Error = &detect.Problem{Kind: reason.ProblemUnreadable, Detail: explainOS(err)}
	return r
}

// failed deals with a file that the disk did not give: deleted while the scan
// ran, lost with the whole disk, or bad by itself, which only the files after it
// can tell.
func (s *scan) failed(ctx context.Context, ss *store.Session, worker int, f *file, r track.Record, err error) error {
	if placeGone(s.o.FS, f.Place.Dir) != nil {
		s.medium.fail(f.Place.Dir, err, nil)
		return s.medium.gone()
	}
	if errors.Is(err, fs.ErrNotExist) {
		s.mu.Lock()
		s.report.Problems = append(s.report.Problems, store.Problem{Path: f.Disk(), Detail: "was moved or deleted while the scan ran"})
		s.mu.Unlock()
		s.book(worker, f, 0, func(r *store.Report, p *Progress) {})
		return nil
	}
	s.medium.fail(f.Place.Dir, err, &mediumFault{f, r})
	s.progress.finished(worker, f, 0, func(p *Progress) {})
	return s.medium.gone()
}

// storeBad stores files whose own fault it was that they could not be read.
func (s *scan) storeBad(ctx context.Context, ss *store.Session, bad []*mediumFault) error {
	for _, b := range bad {
		b.f.Content, b.f.Whole = nil, nil
		if err := s.store(ctx, -1, b.f, &b.record); err != nil {
			return err
		}
	}
	return nil
}

// store writes a measured track and gives up the claim.
func (s *scan) store(ctx context.Context, worker int, f *file, r *track.Record) error {
	// Finish the write of what is measured even when the scan is cancelled now.
	ctx = context.WithoutCancel(ctx)
	err := s.db.Write(ctx, func(tx *store.Tx) error {
		if err := tx.Follow(&f.File); err != nil {
			return err
		}
		r.Path = f.Path
		if err := s.makeRoom(tx, f, r); err != nil {
			return err
		}
		if err := tx.Put(&f.File, r); err != nil {
			return err
		}
		return tx.GiveUp(&f.File)
	})
	if err != nil {
		return err
	}
	seconds := 0.0
	if r.File.DurationS.Exists() {
		seconds = float64(r.File.DurationS)
	}
	count := func(rep *store.Report, p *Progress) {
		rep.Measured++
		p.Measured++
		if r.Error != nil {
			rep.Failed++
			p.Failed++
		}
	}
	if worker < 0 { // its work was booked when it failed
		s.mu.Lock()
		defer s.mu.Unlock()
		s.progress.update(func(p *Progress) { p.Done++; count(&s.report, p) })
		return nil
	}
	s.book(worker, f, seconds, count)
	return nil
}

func (s *scan) book(worker int, f *file, seconds float64, count func(*store.Report, *Progress)) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.progress.finished(worker, f, seconds, func(p *Progress) { p.Done++; count(&s.report, p) })
}
