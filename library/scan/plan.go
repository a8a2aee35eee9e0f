package scan

import (
	"unicode/utf8"

	"dubgauge/library/store"
	"dubgauge/library/track"
)

// file is a candidate of a scan.
type file struct {
	store.File
	row  *store.Row // at this path, nil when new
	from *store.Row // whose measurement it takes, by content
	fate fate
	// stamped is the row whose time stamp the file has but for what the clock did.
	stamped *store.Row
}

// fate is what becomes of a file.
type fate int

const (
	pending   fate = iota
	unchanged      // nothing to do
	revived        // was missing, is back as it was
	touched        // only the time stamp differs
	moved          // the row of another path is this file's now
	copied         // a new row with the measurement of another
	measure        // decode it
)

// match pairs the candidates of a place with their rows and names the new ones.
func match(p *store.Place, candidates []found, rows []*store.Row) []*file {
	onDisk := make(map[string]*store.Row, len(rows))
	shown := make(map[string]*store.Row, len(rows))
	for _, r := range rows {
		if r.RootID == p.RootID && !r.Displaced {
			onDisk[r.Disk] = r
			shown[r.Path] = r
		}
	}
	files := make([]*file, len(candidates))
	all := make([]file, len(candidates))
	taken := make(map[string]bool, len(candidates))
	for i, c := range candidates {
		f := &all[i]
		f.File = store.File{Place: p, Rel: p.Prefix + c.rel, Size: c.size, MTime: c.mtime}
		if f.row = onDisk[f.Rel]; f.row != nil {
			f.Path = f.row.Path
			taken[f.Path] = true
		}
		files[i] = f
	}
	for _, f := range files {
		if f.row != nil {
			continue
		}
		f.Path = track.ShownPath(f.Rel)
		if taken[f.Path] && utf8.ValidString(f.Rel) {
			f.Path = f.Rel // both forms of one name lie side by side
		}
		for taken[f.Path] {
			f.Path += " (2)"
		}
		taken[f.Path] = true
		f.row = shown[f.Path] // the same name in another form, as another system writes it
	}
	return files
}

// compare settles the files whose size and time stamp are those of their row;
// again tells that one is to be measured all the same.
func compare(files []*file, again func(*store.Row) bool) {
	for _, f := range files {
		r := f.row
		switch {
		case r == nil || r.Size != f.Size || r.MTime != f.MTime || r.Disk != f.Rel:
		case again(r):
			f.fate = measure
		case r.Missing:
			f.fate = revived
		default:
			f.fate = unchanged
		}
	}
}
