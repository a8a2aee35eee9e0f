package library

import (
	"context"
	"time"
)

// ScanOptions of Scan. The zero value measures with all cores and keeps the
// patterns that were given before.
type ScanOptions struct {
	// Workers is how many tracks are measured at once; 0 is one a core.
	Workers int
	// Released and Unreleased are patterns relative to each DIR; ** crosses
	// folders. They are remembered for the DIR until either is given anew; an
	// empty one given alone clears them.
	Released, Unreleased []string
	// Again measures every track anew, changed or not.
	Again bool
	// Verify compares what is decoded with the checksum in the file, where there
	// is one, and for that decodes all such tracks (FLAC), changed or not.
	Verify bool
	// Progress, when set, is called about ten times a second and once at the
	// end, by one goroutine at a time.
	Progress func(Progress)
	// FS is read instead of the operating system's, for tests.
	FS FS

	measure func(ctx context.Context, fsys FS, path string, progress func(float64)) (r Record, medium, err error)
}

// The phases of a scan.
const (
	Looking   = "looking"   // walking the folders: Total still grows
	Comparing = "comparing" // reading parts of files that may have moved
	Measuring = "measuring"
)

// Progress of a scan, counted in tracks.
type Progress struct {
	Phase                                           string
	Total, Done, Measured, Unchanged, Moved, Failed int
	AudioSeconds                                    float64 // decoded so far
	Elapsed                                         time.Duration
	Left                                            time.Duration // negative while it cannot be told
	Current                                         string        // the track last begun, relative to its library
}

// Report says what a scan did.
type Report struct {
	Roots []string `json:"roots"` // the libraries that the tracks belong to
	// Total is the number of tracks found: the sum of those measured, unchanged
	// and moved, and of those not reached when the scan was stopped.
	Total int `json:"total"`
	// Measured were decoded, Failed are those among them that are unreadable
	// wholly or in part.
	Measured int `json:"measured"`
	Failed   int `json:"failed"`
	// Unchanged were known as they are. Moved were recognised by their content
	// under a new name, Copied likewise while the old name is still there;
	// neither was decoded.
	Unchanged int `json:"unchanged"`
	Moved     int `json:"moved"`
	Copied    int `json:"copied"`
	// Missing are tracks that were there at the last scan and are not now.
	Missing      int           `json:"missing"`
	Problems     []Problem     `json:"problems"`
	AudioSeconds float64       `json:"audio_seconds"`
	Elapsed      time.Duration `json:"elapsed_ns"`
}
