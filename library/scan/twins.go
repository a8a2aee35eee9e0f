package scan

import (
	"bytes"
	"cmp"
	"context"
	"slices"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// longFile is how many seconds a file plays that is begun before the others.
const longFile = 15 * 60

// longFirst puts long files first, the longest at the head, and leaves the others in their
// order: a set of two hours that comes last keeps one core busy while the others are done.
func longFirst(files []*file) {
	long := func(f *file) float64 {
		if s := guessSeconds(f.Rel, f.Size); s >= longFile {
			return s
		}
		return 0
	}
	slices.SortStableFunc(files, func(a, b *file) int { return cmp.Compare(long(b), long(a)) })
}

// twins takes out of files those that have the size and the samples of one before them:
// one copy is measured, and the others need only be read, if every byte is the same.
// twin gives for each the file that it may be a copy of.
func (s *scan) twins(ctx context.Context, files []*file) (first []*file, twin map[*file]*file, err error) {
	count := map[int64]int{}
	for _, f := range files {
		count[f.Size]++
	}
	s.progress.update(func(p *Progress) { p.Phase = Comparing })
	for _, f := range files {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		if count[f.Size] < 2 || f.Content != nil || f.Size == 0 {
			continue
		}
		if err := s.readSamples(f); err != nil {
			f.Content = nil
			break // on a disk that fails, what can be measured comes first
		}
	}
	known, twin := map[string]*file{}, map[*file]*file{}
	for _, f := range files {
		if f.Content == nil || count[f.Size] < 2 {
			first = append(first, f)
		} else if same := known[string(f.Content)]; same == nil || same.Size != f.Size {
			known[string(f.Content)] = f
			first = append(first, f)
		} else {
			twin[f] = same
		}
	}
	return first, twin, nil
}

// storeTwins gives the copies the measurements of what they are copies of, and returns
// those that are none, or whose original was not measured.
func (s *scan) storeTwins(ctx context.Context, files []*file, twin map[*file]*file) (rest []*file, err error) {
	if len(twin) == 0 {
		return nil, nil
	}
	rows, err := s.db.Rows(ctx)
	if err != nil {
		return nil, err
	}
	type place struct {
		root int64
		path string
	}
	at := make(map[place]*store.Row, len(rows))
	for _, r := range rows {
		at[place{r.RootID, r.Path}] = r
	}
	for _, f := range files {
		original := twin[f]
		if original == nil {
			continue
		}
		done := false
		if from := at[place{original.Place.RootID, original.Path}]; from != nil && from.Current() && original.Whole != nil {
			if done, err = s.storeTwin(ctx, f, original, from); err != nil {
				return nil, err
			}
		}
		if !done {
			f.Content, f.Whole = nil, nil
			rest = append(rest, f)
		}
	}
	return rest, nil
}

// storeTwin reads a file and, when it is the original to the byte, stores it as a copy.
func (s *scan) storeTwin(ctx context.Context, f, original *file, from *store.Row) (done bool, err error) {
	s.progress.update(func(p *Progress) { p.Current = f.Path })
	if err := s.sum(ctx, f, track.NewWhole(f.Size)); err != nil {
		return false, ctx.Err() // the measuring says what is wrong with it
	}
	if !bytes.Equal(f.Whole, original.Whole) || !bytes.Equal(f.Whole, from.Whole) || s.changed(f) {
		return false, nil
	}
	f.fate, f.from = copied, from
	err = s.db.Write(context.WithoutCancel(ctx), func(tx *store.Tx) error { return s.storeKnown(tx, f) })
	if err != nil || f.fate != copied {
		return false, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.report.Copied++
	s.progress.update(func(p *Progress) { p.Done++; p.Moved++ })
	return true, nil
}
