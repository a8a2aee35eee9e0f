package status

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
