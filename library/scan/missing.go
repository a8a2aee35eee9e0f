package scan

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// finish marks what is missing, forgets what has been so for long, and finds the tracks
// that hold the same music.
func (s *scan) finish(ctx context.Context) error {
	gone := s.keepUnmounted(s.gone())
	err := s.db.Write(ctx, func(tx *store.Tx) error {
		now := time.Now()
		for _, r := range gone {
			set, err := tx.SetMissing(r, now)
			if err != nil {
				return err
			}
			if set {
				s.report.Missing++
			}
		}
		if err := s.nameRoots(tx); err != nil {
			return err
		}
		for _, p := range s.places {
			if err := tx.NoteScan(p.Dir, now); err != nil {
				return err
			}
		}
		return tx.Forget(now.Add(-forgetAfter))
	})
	if err != nil {
		return err
	}
	s.progress.update(func(p *Progress) { p.Phase = Matching })
	return s.db.MatchTunes(ctx)
}

// nameRoots names the roots that the tracks belong to, as another scan may have taken
// them into the library of a folder above meanwhile.
func (s *scan) nameRoots(tx *store.Tx) error {
	var roots []string
	for _, p := range s.places {
		now, err := tx.Place(p.Dir)
		if err != nil {
			return err
		}
		if !slices.Contains(roots, now.Root) {
			roots = append(roots, now.Root)
		}
	}
	s.report.Roots = roots
	return nil
}

// gone are the rows whose files are not where they were.
func (s *scan) gone() []*store.Row {
	here := make(map[*store.Row]bool, len(s.files))
	for _, f := range s.files {
		if f.row != nil {
			here[f.row] = true
		}
		if f.from != nil && f.fate != copied {
			here[f.from] = true
		}
	}
	var gone []*store.Row
	for _, r := range s.rows {
		if !here[r] && !r.Missing && s.reached(r) {
			gone = append(gone, r)
		}
	}
	return gone
}

// liesAt tells that a row's file belongs in a place.
func liesAt(r *store.Row, p *store.Place) bool {
	return r.RootID == p.RootID && strings.HasPrefix(r.Disk, p.Prefix)
}

// keepUnmounted takes the tracks of places that are not mounted out of gone.
func (s *scan) keepUnmounted(gone []*store.Row) []*store.Row {
	for _, p := range s.places {
		if n := s.unmounted(p, gone); n > 0 {
			gone = slices.DeleteFunc(gone, func(r *store.Row) bool { return liesAt(r, p) })
			were := "1 track was"
			if n > 1 {
				were = fmt.Sprintf("%d tracks were", n)
			}
			s.report.Problems = append(s.report.Problems, store.Problem{Path: p.Dir, Detail: "this folder is empty, and " + were + " in it: is the disk plugged in? nothing was forgotten"})
		}
	}
	return gone
}

// forgetAfter is how long the row of a missing file is kept, so that its marks
// are still there when the file turns up again.
const forgetAfter = 365 * 24 * time.Hour

// reached tells that the scan looked at the place where a row's file should be.
func (s *scan) reached(r *store.Row) bool {
	for _, p := range s.places {
		if !liesAt(r, p) {
			continue
		}
		full := filepath.Join(p.Root, filepath.FromSlash(r.Disk))
		for _, u := range s.unread {
			if full == u || track.Below(full, u) {
				return false
			}
		}
		return true
	}
	return false
}

// PluggedIn tells that there is something where a root was: a stick that is not plugged
// in leaves no folder, or an empty one to mount it at.
func PluggedIn(root string) bool {
	d, err := os.Open(root)
	if err != nil {
		return false
	}
	defer d.Close()
	names, _ := d.Readdirnames(1)
	return len(names) > 0
}

// unmounted counts the tracks that would go missing in a place that has nothing
// at all in it, as an empty mount point has.
func (s *scan) unmounted(p *store.Place, gone []*store.Row) (n int) {
	for _, r := range gone {
		if liesAt(r, p) {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	if entries, err := s.o.FS.ReadDir(p.Dir); err == nil && len(entries) > 0 {
		return 0
	}
	return n
}
