package status

import "strings"

// Status says whether a track came out.
type Status string

// The statuses. Unknown tracks are judged but never serve as references.
const (
	Released   Status = "released"
	Unreleased Status = "unreleased"
	Unknown    Status = "unknown"
)

// byPattern is the Where of evidence from a pattern, and before is what its What has before that.
const (
	byPattern = "glob"
	before    = "the pattern "
)

// Pattern is the pattern that evidence comes from; empty for other evidence.
func (e Evidence) Pattern() string {
	if e.Where != byPattern {
		return ""
	}
	return strings.TrimPrefix(e.What, before)
}

// Evidence is one finding that speaks for a status.
type Evidence struct {
	For   Status `json:"for"`
	What  string `json:"what"`  // in words: `ISRC QZABC2600001`, `the word "bootleg"`
	Where string `json:"where"` // "tag isrc", "file name", "folder", "title", "glob", "mark"
}
