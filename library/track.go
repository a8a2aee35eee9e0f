// Package library keeps a DJ's tracks: it walks folders, reads tags, decides
// which tracks are released, measures what is new, and stores it all in one
// database that survives being killed.
package library

import (
	"path/filepath"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/tags"
)

// Record is the measurement of one file: what `dubgauge measure` prints.
type Record struct {
	// Path is as it was asked for; in the database, relative to the library's
	// root, with forward slashes.
	Path string    `json:"path"`
	Tags tags.Tags `json:"tags"`
	detect.Measurement
}

// Status says whether a track came out.
type Status string

// The statuses. Unknown tracks are judged but never serve as references.
const (
	Released   Status = "released"
	Unreleased Status = "unreleased"
	Unknown    Status = "unknown"
)

// Evidence is one finding that speaks for a status.
type Evidence struct {
	For   Status `json:"for"`
	What  string `json:"what"`  // in words: `ISRC QZABC2600001`, `the word "bootleg"`
	Where string `json:"where"` // "tag isrc", "file name", "folder", "title", "glob", "mark"
}

// Marks are what the user decided about a track; they overrule all evidence.
type Marks struct {
	Status    Status `json:"status,omitempty"` // empty: not marked
	Reference bool   `json:"reference,omitempty"`
	// Ignore leaves the track out of verdicts, groups, lists and exports.
	Ignore bool `json:"ignore,omitempty"`
}

// Track is a track of the library as it is stored, and what is said of it.
type Track struct {
	ID   int64  `json:"id"`
	Root string `json:"root"` // absolute path of the library that it was found in
	Record
	Status     Status     `json:"status"`
	Evidence   []Evidence `json:"evidence"`
	Marks      Marks      `json:"marks"`
	ModTime    time.Time  `json:"mod_time"`
	MeasuredAt time.Time  `json:"measured_at"`
	// MissingSince is when a scan first did not find the file any more; zero
	// while it is there.
	MissingSince time.Time `json:"missing_since,omitzero"`
	standout.Judgement

	disk    []byte         // the relative path's bytes on the disk where they differ from Path
	content []byte         // fingerprint of the file's bytes
	extra   []detect.Fault // those of Faults that are not in the stored record
}

// Missing tells that the last scan did not find the file.
func (t *Track) Missing() bool { return !t.MissingSince.IsZero() }

// DiskPath is the path to open, absolute, in the system's form.
func (t *Track) DiskPath() string {
	rel := t.Path
	if len(t.disk) > 0 {
		rel = string(t.disk)
	}
	return filepath.Join(t.Root, filepath.FromSlash(rel))
}
