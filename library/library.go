// Package library keeps a DJ's tracks: it walks folders, reads tags, decides
// which tracks are released, measures what is new, and stores it all in one
// database that survives being killed. It is the face of the rooms below it:
//
//	tags, status       what a file says of itself, and whether it came out
//	track              what a track is
//	judge              tracks held against each other
//	store              the database
//	scan               folders and files
//	media              what is plugged in
package library

import (
	"context"
	"io"
	"time"

	"dubgauge/detect/standout"
	"dubgauge/library/judge"
	"dubgauge/library/media"
	"dubgauge/library/scan"
	"dubgauge/library/status"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// A track and what is said of it.
type (
	Track    = track.Track
	Record   = track.Record
	Marks    = track.Marks
	Spectrum = track.Spectrum
	Versions = track.Versions
	Version  = track.Version
	Older    = track.Older
	Seen     = track.Seen
	Status   = status.Status
	Evidence = status.Evidence
)

// The statuses. Unknown tracks are judged but never serve as references.
const (
	Released   = status.Released
	Unreleased = status.Unreleased
	Unknown    = status.Unknown
)

// What a track is older by than another version of it.
const (
	OlderByName = track.OlderByName
	OlderByTime = track.OlderByTime
	OlderByBoth = track.OlderByBoth
)

// MeasureVersion is raised whenever a measurement comes out differently.
const MeasureVersion = track.MeasureVersion

// The database and what brings it up to date.
type (
	DB           = store.DB
	TrackOptions = store.TrackOptions
	Root         = store.Library
	Medium       = media.Medium
	State        = store.State
	Between      = store.Between
	ScanOptions  = scan.Options
	Progress     = scan.Progress
	Report       = store.Report
	Problem      = store.Problem
)

// The phases of a scan.
const (
	Looking   = scan.Looking
	Comparing = scan.Comparing
	Measuring = scan.Measuring
	Matching  = scan.Matching
)

// DefaultPath is the database in the user's data folder; see store.DefaultPath.
func DefaultPath() (string, error) { return store.DefaultPath() }

// Open opens or makes the database at path; see store.Open.
func Open(ctx context.Context, path string) (*DB, error) { return store.Open(ctx, path) }

// Scan brings the database up to date with the folders dirs; see scan.Run.
func Scan(ctx context.Context, db *DB, dirs []string, o ScanOptions) (Report, error) {
	return scan.Run(ctx, db, dirs, o)
}

// ScanTrack measures the file of one track anew; see scan.One.
func ScanTrack(ctx context.Context, db *DB, id int64, o ScanOptions) (Report, error) {
	return scan.One(ctx, db, id, o)
}

// Glance counts what is named like tracks below dir, for a moment; see scan.Glance.
func Glance(dir string, limit time.Duration) (tracks int, whole bool) { return scan.Glance(dir, limit) }

// Media lists what is mounted; see media.Read.
func Media() ([]Medium, error) { return media.Read() }

// MusicFolder is the user's folder for music; see media.MusicFolder.
func MusicFolder() string { return media.MusicFolder() }

// CleanPatterns makes patterns comparable; see status.CleanPatterns.
func CleanPatterns(patterns []string) ([]string, error) { return status.CleanPatterns(patterns) }

// ImportRecords stores records that were measured elsewhere; see
// store.ImportRecords.
func ImportRecords(ctx context.Context, db *DB, root string, r io.Reader) (Report, error) {
	return store.ImportRecords(ctx, db, root, r)
}

// Measure measures one file; see scan.Measure.
func Measure(ctx context.Context, path string) (Record, error) { return scan.Measure(ctx, path) }

// IsMusicOf tells that a file is music of a library; see scan.IsMusicOf.
func IsMusicOf(ctx context.Context, db *DB, path string) (bool, error) {
	return scan.IsMusicOf(ctx, db, path)
}

// MusicName tells that a file would be taken for music by its name; see scan.MusicName.
func MusicName(path string) bool { return scan.MusicName(path) }

// InLibrary tells that a folder lies in a library; see scan.InLibrary.
func InLibrary(ctx context.Context, db *DB, dir string) (bool, error) {
	return scan.InLibrary(ctx, db, dir)
}

// IsDatabase tells that a file is a database of this program; see store.IsOurs.
func IsDatabase(path string) bool { return store.IsOurs(path) }

// PluggedIn tells that something is where a root was; see scan.PluggedIn.
func PluggedIn(root string) bool { return scan.PluggedIn(root) }

// Pool is what the verdicts come from; see judge.Pool.
func Pool(all []Track) []standout.Track { return judge.Pool(all) }

// PoolOf is Pool of tracks that lie elsewhere.
func PoolOf(all []*Track) []standout.Track { return judge.PoolOf(all) }
