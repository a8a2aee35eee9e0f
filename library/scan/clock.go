package scan

import (
	"bytes"
	"context"
	"strings"
	"time"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// How time stamps move when the clock did and the file did not.
const (
	// zoneStep is what time zones and summer time differ by: whole hours, in some
	// places a quarter of one (IANA time zone database). FAT keeps local time.
	zoneStep = 15 * time.Minute
	// zoneMost is how far apart two time zones are at most, UTC-12 to UTC+14.
	zoneMost = 26 * time.Hour
	// fatStep is the resolution of FAT's time stamps (FAT32 File System
	// Specification, "Date and Time Formats").
	fatStep = 2 * time.Second
	// clockShare of the files of a place must have moved alike: nearly all, as one that
	// was saved anew must not have the rest read.
	clockShare = 0.9
	// clockSample files are read whole before the rest are believed. A person who
	// saved a tenth of the files anew, all by the same whole hours, would be found out
	// in 57 % of cases; one who saved them all, always.
	clockSample = 8
)

// candidate is a file that may be what a row says.
type candidate struct {
	f   *file
	row *store.Row
}

// believeClock settles the files of a place whose time stamps all moved alike, as when
// the clock was set to summer time: some are read whole, and when these are what their
// rows say, the rest are believed.
func (s *scan) believeClock(ctx context.Context) error {
	for _, p := range s.places {
		var here []candidate
		for _, f := range s.files {
			if f.Place == p && f.row != nil && f.row.Disk == f.Rel && f.row.Size == f.Size {
				here = append(here, candidate{f, f.row})
			}
		}
		if err := s.believe(ctx, movedAlike(here, len(here))); err != nil {
			return err
		}
	}
	return nil
}

// believeMount settles the files of a place that are not as they were there, when nearly
// all are known from another place, or from another stick that was mounted here, under
// the same paths and with the same time stamps but for the clock: a stick that is
// mounted elsewhere, a copy of it, or one that is back.
func (s *scan) believeMount(ctx context.Context) error {
	for _, p := range s.places {
		unknown := map[string]*file{}
		for _, f := range s.files {
			if f.Place == p && f.fate == pending && f.Content == nil {
				unknown[strings.TrimPrefix(f.Rel, p.Prefix)] = f
			}
		}
		byRoot := map[int64][]candidate{}
		for _, r := range s.rows {
			if f := unknown[r.Disk]; f != nil && (r.RootID != p.RootID || r.Displaced) && r.Size == f.Size {
				byRoot[r.RootID] = append(byRoot[r.RootID], candidate{f, r})
			}
		}
		for root, there := range byRoot {
			if alike := movedAlike(there, len(unknown)); alike != nil {
				if err := s.believe(ctx, alike); err != nil {
					return err
				}
				s.mounts = append(s.mounts, mount{root, p})
				break
			}
		}
	}
	return nil
}

// movedAlike returns those of the candidates that are not settled and whose time
// stamps differ from their rows' by one step of the clock (or by none), when with
// those that are settled they are nearly all of the number given.
func movedAlike(all []candidate, of int) []candidate {
	steps := map[time.Duration][]candidate{}
	still := 0
	for _, c := range all {
		d := time.Duration(c.f.MTime - c.row.MTime)
		step := d.Round(zoneStep)
		switch {
		case step.Abs() > zoneMost || (d-step).Abs() > fatStep:
		case step == 0 && d != 0 && !rounded(c.f.MTime, c.row.MTime):
		case c.f.fate != pending:
			still++
		default:
			steps[step] = append(steps[step], c)
		}
	}
	for step, moved := range steps {
		n := len(moved)
		if step == 0 {
			n += still
		}
		if float64(n) >= clockShare*float64(of) {
			return moved
		}
	}
	return nil
}

// rounded tells that a time stamp is what is left of a finer one on a medium that
// keeps whole seconds.
func rounded(now, before int64) bool {
	return now%int64(time.Second) == 0 && before%int64(fatStep) != 0
}

// believe reads some of the candidates whole and, when each is what its row says,
// takes all for what theirs say.
func (s *scan) believe(ctx context.Context, all []candidate) error {
	sample := sampleOf(all)
	var files []*file
	for _, c := range sample {
		files = append(files, c.f)
	}
	err := s.readContents(ctx, files, func(f *file) error { return s.hash(ctx, f, track.NewWhole(f.Size)) })
	if err != nil {
		return err
	}
	for _, c := range sample {
		if !bytes.Equal(c.f.Content, c.row.Content) || (c.row.Whole != nil && !bytes.Equal(c.f.Whole, c.row.Whole)) {
			return nil
		}
	}
	for _, c := range all {
		if c.row.Whole != nil {
			c.f.Content, c.f.Whole = c.row.Content, c.row.Whole
		}
		c.f.stamped = c.row
	}
	return nil
}

// sampleOf picks candidates at even distances, and the one that was saved last.
func sampleOf(all []candidate) []candidate {
	if len(all) <= clockSample {
		return all
	}
	last := 0
	for i, c := range all {
		if c.f.MTime > all[last].f.MTime {
			last = i
		}
	}
	picked := []candidate{all[last]}
	for k := range clockSample {
		if i := k * (len(all) - 1) / (clockSample - 1); i != last {
			picked = append(picked, all[i])
		}
	}
	return picked
}
