package scan

import (
	"bytes"
	"path"
	"slices"
	"sort"

	"dubgauge/library/store"
)

// recognise settles the files whose content (which the caller has filled where
// a row has that size) is that of a row. free tells that a row's file is no
// longer where the row says. It is free of side effects but on files.
func recognise(files []*file, rows []*store.Row, free func(*store.Row) bool) {
	byContent := map[string][]*store.Row{}
	for _, r := range rows {
		if r.Content != nil {
			byContent[string(r.Content)] = append(byContent[string(r.Content)], r)
		}
	}
	stays := settleTouched(files)
	movable := func(r *store.Row) bool { return !stays[r] && free(r) }
	for _, f := range files {
		if f.fate != pending {
			continue
		}
		f.fate = measure
		if f.Content == nil {
			continue
		}
		f.takeFrom(byContent[string(f.Content)], movable)
		if f.fate == moved {
			stays[f.from] = true
		}
	}
	leavePaths(files)
}

// settleTouched settles the files that are what their rows say but for the time
// stamp. It returns the rows whose files are where they say, with that content.
func settleTouched(files []*file) map[*store.Row]bool {
	stays := map[*store.Row]bool{}
	for _, f := range files {
		switch {
		case f.row == nil:
		case f.fate != pending:
			stays[f.row] = true
		case f.is(f.row):
			f.fate, f.from = touched, f.row
			stays[f.row] = true
		}
	}
	return stays
}

// is tells that a file is what a row says: to the byte, or, where the row was measured
// before that was kept, in samples, size and time stamp.
func (f *file) is(r *store.Row) bool {
	switch {
	case f.Content == nil || !bytes.Equal(f.Content, r.Content):
		return false
	case r.Whole != nil:
		return bytes.Equal(f.Whole, r.Whole)
	}
	return f.stamped == r || f.MTime == r.MTime
}

// takeFrom gives a file a row of its content: one that can move here, else the
// measurement of one.
func (f *file) takeFrom(same []*store.Row, movable func(*store.Row) bool) {
	same = slices.DeleteFunc(slices.Clone(same), func(r *store.Row) bool { return !f.is(r) })
	sort.SliceStable(same, func(i, j int) bool { return likeness(f, same[i]) > likeness(f, same[j]) })
	for _, r := range same {
		if movable(r) {
			f.fate, f.from = moved, r
			return
		}
		if f.from == nil && r.Current() {
			f.fate, f.from = copied, r
		}
	}
}

// leavePaths makes new tracks of files at the paths of rows that move away.
func leavePaths(files []*file) {
	gone := map[*store.Row]bool{}
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
func likeness(f *file, r *store.Row) int {
	switch {
	case r.Path == f.Path:
		return 2
	case path.Base(r.Path) == path.Base(f.Path):
		return 1
	}
	return 0
}
