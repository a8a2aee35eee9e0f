package scan

import (
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/faults"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// Marks go with the content. A file that was saved anew under its name is the same
// track to the user, and keeps them; where a stranger stands under the name, as when
// another stick is mounted at the same place, the marks stay with the old content and
// come back with it.

// How far two versions of one track may lie apart. Our judgement, no source: an edit
// keeps the tempo, and a master the length.
const (
	versionLength = 0.02 // of the length
	versionTempo  = 0.01 // of the tempo
)

// stay says of a place what the scan found there before it measured anything.
type stay struct {
	rows int // that should be there
	kept int // that are
}

// stays counts, by place, the rows that should be there and those that are.
func (s *scan) stays() map[*store.Place]stay {
	here := map[*store.Row]bool{}
	for _, f := range s.files {
		switch {
		case f.row != nil && (f.fate == unchanged || f.fate == touched):
			here[f.row] = true
		case f.from != nil && f.fate == moved:
			here[f.from] = true
		}
	}
	all := map[*store.Place]stay{}
	for _, p := range s.places {
		n := stay{}
		for _, r := range s.rows {
			if liesAt(r, p) && !r.Missing {
				n.rows++
				if here[r] {
					n.kept++
				}
			}
		}
		all[p] = n
	}
	return all
}

// makeRoom sets the row at a file's path aside when what is measured there now is
// another track.
func (s *scan) makeRoom(tx *store.Tx, f *file, now *track.Record) error {
	r := f.row
	if r == nil || r.Content == nil || f.Content == nil || f.is(r) {
		return nil
	}
	old, found, err := tx.Sketch(r)
	if err != nil || !found || !stranger(&old, now, s.stay[f.Place]) {
		return err
	}
	f.row = nil
	return tx.Displace(r)
}

// stranger tells that the record now at a path is of another track than the one before.
func stranger(old, now *track.Record, place stay) bool {
	if sameName(old, now) || len(faults.Duplicates([]string{old.Fingerprint, now.Fingerprint})) > 0 {
		return false
	}
	if place.rows > 1 && place.kept == 0 {
		return true // nothing is left of the stick that was here
	}
	if old.Fingerprint == "" || now.Fingerprint == "" {
		return false
	}
	length := apart(old.File.DurationS, now.File.DurationS, versionLength)
	tempo := apart(octave(old.Tempo.BPM), octave(now.Tempo.BPM), versionTempo)
	if place.rows > 1 {
		return length && tempo
	}
	return length || tempo
}

// sameName tells that tags say it is the same recording.
func sameName(a, b *track.Record) bool {
	same := func(x, y string) bool { return x != "" && strings.EqualFold(x, y) }
	return same(a.Tags.ISRC, b.Tags.ISRC) || same(a.Tags.Title, b.Tags.Title) && strings.EqualFold(a.Tags.Artist, b.Tags.Artist)
}

// apart tells that two figures that exist differ by more than a share of them.
func apart(a, b detect.Value, share float64) bool {
	return a.Exists() && b.Exists() && math.Abs(float64(a-b)) > share*math.Max(float64(a), float64(b))
}

// octave brings a tempo to 80 up to 160 BPM, as half and double are read for each other.
func octave(bpm detect.Value) detect.Value {
	if !bpm.Exists() || bpm <= 0 {
		return detect.None
	}
	up := math.Log2(float64(bpm) / 80)
	return detect.Value(80 * math.Exp2(up-math.Floor(up)))
}
