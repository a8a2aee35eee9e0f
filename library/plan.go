package library

import (
	"bytes"
	"context"
	"path"
	"sort"
	"unicode/utf8"
)

// row is what the database knows of a file, as far as a scan compares it.
type row struct {
	id, root    int64
	rootPath    string
	path, disk  string // disk is the path as on the disk
	size, mtime int64
	content     []byte
	version     int
	format      string
	measuredAt  int64
	missing     bool
	// retry: what kept it from being measured may have gone (rights, a decoder
	// that was not installed).
	retry bool
}

// current tells that the row's measurement needs no renewal while the file's
// bytes are the same.
func (r *row) current() bool { return r.version == MeasureVersion && !r.retry }

// file is a candidate of a scan.
type file struct {
	place       *place
	rel, path   string // relative to the root: on the disk, and as stored
	size, mtime int64
	row         *row // at this path, nil when new
	content     []byte
	from        *row // whose measurement it takes, by content
	fate        fate
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

// rows reads what is known of every file.
func (db *DB) rows(ctx context.Context) ([]*row, error) {
	rows, err := db.sql.QueryContext(ctx, `SELECT t.id, t.root, r.path, t.path, coalesce(t.disk, t.path), t.size, t.mtime, t.content,
		t.version, t.measured_at, t.missing_at IS NOT NULL, coalesce(t.error_kind IN ('unreadable', 'unsupported'), 0), t.format
		FROM tracks t JOIN roots r ON r.id = t.root`)
	if err != nil {
		return nil, db.explain(err)
	}
	defer rows.Close()
	var all []*row
	for rows.Next() {
		r := &row{}
		if err := rows.Scan(&r.id, &r.root, &r.rootPath, &r.path, &r.disk, &r.size, &r.mtime, &r.content,
			&r.version, &r.measuredAt, &r.missing, &r.retry, &r.format); err != nil {
			return nil, db.explain(err)
		}
		all = append(all, r)
	}
	return all, db.explain(rows.Err())
}

// match pairs the candidates of a place with their rows and names the new ones.
func match(p *place, candidates []found, rows []*row) []*file {
	onDisk := make(map[string]*row, len(rows))
	shown := make(map[string]*row, len(rows))
	for _, r := range rows {
		if r.root == p.rootID {
			onDisk[r.disk] = r
			shown[r.path] = r
		}
	}
	files := make([]*file, len(candidates))
	store := make([]file, len(candidates))
	taken := make(map[string]bool, len(candidates))
	for i, c := range candidates {
		f := &store[i]
		*f = file{place: p, rel: p.prefix + c.rel, size: c.size, mtime: c.mtime}
		if f.row = onDisk[f.rel]; f.row != nil {
			f.path = f.row.path
			taken[f.path] = true
		}
		files[i] = f
	}
	for _, f := range files {
		if f.row != nil {
			continue
		}
		f.path = shownPath(f.rel)
		if taken[f.path] && utf8.ValidString(f.rel) {
			f.path = f.rel // both forms of one name lie side by side
		}
		for taken[f.path] {
			f.path += " (2)"
		}
		taken[f.path] = true
		f.row = shown[f.path] // the same name in another form, as another system writes it
	}
	return files
}

// compare settles the files whose size and time stamp are those of their row;
// again tells that one is to be measured all the same.
func compare(files []*file, again func(*row) bool) {
	for _, f := range files {
		r := f.row
		switch {
		case r == nil || r.size != f.size || r.mtime != f.mtime || r.disk != f.rel:
		case again(r):
			f.fate = measure
		case r.missing:
			f.fate = revived
		default:
			f.fate = unchanged
		}
	}
}

// recognise settles the files whose content (which the caller has filled where
// a row has that size) is that of a row. free tells that a row's file is no
// longer where the row says. It is free of side effects but on files.
func recognise(files []*file, rows []*row, free func(*row) bool) {
	stays := map[*row]bool{} // its file is where it says, with that content
	for _, f := range files {
		switch {
		case f.row == nil:
		case f.fate != pending:
			stays[f.row] = true
		case f.content != nil && bytes.Equal(f.content, f.row.content):
			f.fate, f.from = touched, f.row
			stays[f.row] = true
		}
	}
	byContent := map[string][]*row{}
	for _, r := range rows {
		if r.content != nil {
			byContent[string(r.content)] = append(byContent[string(r.content)], r)
		}
	}
	for _, f := range files {
		if f.fate != pending {
			continue
		}
		f.fate = measure
		if f.content == nil {
			continue
		}
		same := byContent[string(f.content)]
		sort.SliceStable(same, func(i, j int) bool { return likeness(f, same[i]) > likeness(f, same[j]) })
		for _, r := range same {
			if !stays[r] && free(r) {
				f.fate, f.from = moved, r
				stays[r] = true
				break
			}
			if f.from == nil && r.current() {
				f.fate, f.from = copied, r
			}
		}
	}
	// A row that moves away leaves its path to a new track.
	gone := map[*row]bool{}
	for _, f := range files {
		if f.fate == moved {
			gone[f.from] = true
		}
	}
	for _, f := range files {
		if f.row != nil && gone[f.row] && f.from != f.row {
			f.row = nil
		}
	}
}

// likeness ranks the rows with a file's content by how alike the names are.
func likeness(f *file, r *row) int {
	switch {
	case r.path == f.path:
		return 2
	case path.Base(r.path) == path.Base(f.path):
		return 1
	}
	return 0
}
