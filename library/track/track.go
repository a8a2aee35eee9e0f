// Package track says what a track of the library is: its file, its measurement,
// its tags, the user's marks, and what is said of it.
package track

import (
	"path/filepath"
	"slices"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/tags"
)

// MeasureVersion is raised whenever a measurement of the same audio comes out
// differently: tracks that an older version measured are then measured anew.
const MeasureVersion = 5

// Record is the measurement of one file.
type Record struct {
	// Path is as it was asked for; in the database, relative to the library's
	// root, with forward slashes.
	Path string    `json:"path"`
	Tags tags.Tags `json:"tags"`
	detect.Measurement
}

// Marks are what the user decided about a track; they overrule all evidence.
type Marks struct {
	Status    status.Status `json:"status,omitempty"` // empty: not marked
	Reference bool          `json:"reference,omitempty"`
	// Ignore leaves the track out of verdicts, groups, lists and exports.
	Ignore bool `json:"ignore,omitempty"`
}

// Track is a track of the library as it is stored, and what is said of it.
type Track struct {
	ID   int64  `json:"id"`
	Root string `json:"root"` // absolute path of the library that it was found in
	Record
	Status     status.Status     `json:"status"`
	Evidence   []status.Evidence `json:"evidence"`
	Marks      Marks             `json:"marks"`
	ModTime    time.Time         `json:"mod_time,omitzero"` // zero where the file was never at hand
	MeasuredAt time.Time         `json:"measured_at"`
	// MissingSince is when a scan first did not find the file any more; zero
	// while it is there.
	MissingSince time.Time `json:"missing_since,omitzero"`
	standout.Judgement
	// Versions are what else holds the same music; nil where nothing is known to.
	Versions *Versions `json:"versions,omitempty"`

	Disk    []byte `json:"-"` // the relative path's bytes on the disk where they differ from Path
	Content []byte `json:"-"` // fingerprint of the file's bytes, see ContentOf
	Whole   []byte `json:"-"` // hash of every byte, see NewWhole; nil when it is not known

	// Stored is the record as the database holds it, JSON, where it was read as such; the
	// fields of Record are then those that lists show.
	Stored []byte `json:"-"`
	// Twin is the number of the first track on the stick with the same audio, 0 where there
	// is none; that one's is its own.
	Twin int64 `json:"-"`
	// Version is the MeasureVersion that measured it.
	Version int64 `json:"-"`

	extra []detect.Fault // those of Faults that are not in the stored record
}

// TakesPart tells whether the track is judged and may be a reference.
func (t *Track) TakesPart() bool { return !t.Marks.Ignore && !t.Missing() }

// Missing tells that the last scan did not find the file.
func (t *Track) Missing() bool { return !t.MissingSince.IsZero() }

// DiskPath is the path to open, absolute, in the system's form.
func (t *Track) DiskPath() string {
	rel := t.Path
	if len(t.Disk) > 0 {
		rel = string(t.Disk)
	}
	return filepath.Join(t.Root, filepath.FromSlash(rel))
}

// AddFault adds a fault that is not part of the track's own record.
func (t *Track) AddFault(f detect.Fault) {
	t.extra = append(t.extra, f)
	t.Faults = append(t.Faults, f)
}

// TakeBack takes back what was said of the track beside others, so that it can be judged anew:
// what AddFault added, its twin and its versions.
func (t *Track) TakeBack() {
	t.Faults = slices.Clip(t.Faults[:len(t.Faults)-len(t.extra)])
	t.extra, t.Twin, t.Versions = nil, 0, nil
}

// SameFile is the same for tracks whose files are the same to the byte, as far as is
// known; empty when nothing is.
func (t *Track) SameFile() string {
	if len(t.Content) == 0 {
		return ""
	}
	return string(t.Content) + string(t.Whole)
}

// SetRecord replaces the record, and keeps the path and what AddFault added.
func (t *Track) SetRecord(r Record) {
	r.Path = t.Path
	r.Faults = append(r.Faults, t.extra...)
	t.Record = r
}

// Added are the faults that AddFault added.
func (t *Track) Added() []detect.Fault { return t.extra }

// Spectrum is that of a track, with the level in LUFS that it is held against, and what
// is known of its kick and bass.
type Spectrum struct {
	ID int64
	detect.Spectrum
	Level detect.Value
	Kick  *detect.Kick
}
