package sheet

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"

	"dubgauge/detect/advice"
	"dubgauge/detect/coded"
	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

// SortedJSON is TracksJSON in the order of key. tracks is left as it is.
func SortedJSON(w io.Writer, tracks []library.Track, key words.SortKey, fill whole.Fill) error {
	return writeJSON(w, words.Sorted(tracks, key), fill)
}

// TracksJSON writes the tracks as JSON Lines in the order given, without those
// marked to be ignored: the measurement record of each with status, verdict,
// reasons, reference and trim.
func TracksJSON(w io.Writer, tracks []*library.Track, fill whole.Fill) error {
	shown := make([]*library.Track, 0, len(tracks))
	for _, t := range tracks {
		if !t.Marks.Ignore {
			shown = append(shown, t)
		}
	}
	return writeJSON(w, shown, fill)
}

func writeJSON(w io.Writer, tracks []*library.Track, fill whole.Fill) error {
	b := bufio.NewWriter(w)
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	var line []byte
	err := whole.Tracks(tracks, fill, func(t *library.Track) (err error) {
		if t.Stored == nil {
			return e.Encode(t)
		}
		if line, err = t.AppendJSON(line[:0]); err == nil {
			_, err = b.Write(line)
		}
		return err
	})
	if err != nil {
		return err
	}
	return b.Flush()
}

// AdvisedJSON writes one track as TracksJSON does, with the advice for its master beside
// group, the spectra of its references, as its last field but for closer, which is there where
// closer is.
func AdvisedJSON(w io.Writer, t *library.Track, group []library.Spectrum, closer *coded.Look) error {
	if t.Marks.Ignore {
		return nil
	}
	var b bytes.Buffer
	if err := TracksJSON(&b, []*library.Track{t}, nil); err != nil {
		return err
	}
	a := t.Advice(group)
	more, err := json.Marshal(struct {
		Advice *advice.Advice `json:"advice"`
		Closer *coded.Look    `json:"closer,omitempty"`
	}{&a, closer})
	if err != nil {
		return err
	}
	line := append(bytes.TrimSuffix(b.Bytes(), []byte("}\n")), ',')
	_, err = w.Write(append(append(line, more[1:]...), '\n'))
	return err
}
