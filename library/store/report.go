package store

import "time"

// Problem is something that could not be done, while the rest went on.
type Problem struct {
	Path   string `json:"path"`
	Detail string `json:"detail"`
}

// Report says what a scan, or taking in records, did.
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
