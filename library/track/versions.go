package track

import "dubgauge/detect"

// Versions are the tracks of one stick that hold the same music as a track: other levels,
// equalisers, limiters, lengths and encodings of one tune, or a record and the bootleg of
// it. It is never a fault and changes no verdict.
type Versions struct {
	// Tracks are the others, in the order of their paths; the same audio twice (see
	// reason.Duplicate) stands there once.
	Tracks []Version `json:"tracks"`
	// Nearest is the number of the one that lies nearest to its references, which may be
	// the track itself; 0 where none is named: of one unreleased track among them, or
	// against fixed values.
	Nearest     int64  `json:"nearest,omitempty"`
	NearestPath string `json:"nearest_path,omitempty"`
	// Older names a newer version; nil when nothing says that there is one.
	Older *Older `json:"older,omitempty"`
}

// Older says that a version is an older one.
type Older struct {
	Than     int64   `json:"than"` // the number of the newest
	ThanPath string  `json:"than_path"`
	By       OlderBy `json:"by"`
}

// Version is another track that holds the same music.
type Version struct {
	ID       int64  `json:"id"`
	Path     string `json:"path"`
	Released bool   `json:"released"`
	// Seconds of music are the same in both; they do not exist where both were found
	// through a third alone.
	Seconds detect.Value `json:"seconds"`
	// Part: it shares music with the track and not with the others that do, as one of
	// the tunes of a mash-up.
	Part bool `json:"part,omitempty"`
}

// OlderBy is what a track is older by than another version.
type OlderBy string

// A name counts before a time, which copying may change.
const (
	OlderByName OlderBy = "name"
	OlderByTime OlderBy = "time"
	OlderByBoth OlderBy = "name and time"
)
