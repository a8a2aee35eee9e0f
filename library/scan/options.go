package scan

import (
	"context"
	"time"

	"dubgauge/library/track"
)

// Options of Run. The zero value measures with all cores and keeps the
// patterns that were given before.
type Options struct {
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

	measure func(ctx context.Context, fsys FS, path string, progress func(float64)) (r track.Record, medium, err error)
}

// The phases of a scan.
const (
	Looking   = "looking"   // walking the folders: Total still grows
	Comparing = "comparing" // reading parts of files that may have moved
	Measuring = "measuring"
	Matching  = "matching" // looking for tracks that hold the same music
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
