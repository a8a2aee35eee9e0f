// Package tags reads the tags of a music file, whatever their form, and cleans
// them once at this border: what comes out is valid UTF-8 in NFC, of bounded
// length, without control characters.
package tags

// Tags are what the file says of itself. A field that is missing is empty; a
// tag is a claim, never a measurement.
type Tags struct {
	Title           string   `json:"title"`
	Artist          string   `json:"artist"`
	Album           string   `json:"album"`
	Label           string   `json:"label"`
	CatalogueNumber string   `json:"catalogue_number"`
	ISRC            string   `json:"isrc"`
	Year            int      `json:"year"`
	Genre           string   `json:"genre"`
	Comment         string   `json:"comment"`
	BPM             *float64 `json:"bpm"` // nil when missing
	Key             string   `json:"key"`
}
