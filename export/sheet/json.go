package sheet

import (
	"bufio"
	"encoding/json"
	"io"

	"dubgauge/export/words"
	"dubgauge/library"
)

// SortedJSON is TracksJSON in the order of key. tracks is left as it is.
func SortedJSON(w io.Writer, tracks []library.Track, key words.SortKey) error {
	sorted := words.Shown(tracks)
	words.Sort(sorted, key)
	return TracksJSON(w, sorted)
}

// TracksJSON writes the tracks as JSON Lines in the order given, without those
// marked to be ignored: the measurement record of each with status, verdict,
// reasons, reference and trim.
func TracksJSON(w io.Writer, tracks []library.Track) error {
	b := bufio.NewWriter(w)
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	for i := range tracks {
		if tracks[i].Marks.Ignore {
			continue
		}
		if err := e.Encode(&tracks[i]); err != nil {
			return err
		}
	}
	return b.Flush()
}
