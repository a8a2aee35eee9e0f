package sheet

import (
	"bytes"
	"encoding/json"
	"testing"

	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// TestAdvisedJSON: the record as it is always written, and the advice behind it, on one
// line; nothing for a track that is left out.
func TestAdvisedJSON(t *testing.T) {
	tracks := madeup.Tracks(24)
	own := &tracks[3]
	for b := range 8 {
		own.Spectrum.LoudestDB[b] += 9
	}
	own.Tone = []standout.Move{{Code: reason.LowEndHeavy, DB: 9, Filter: reason.LowShelf, Hz: 100}} // as its verdict would say
	var group []library.Spectrum
	for _, x := range tracks {
		if x.Status == library.Released {
			group = append(group, library.Spectrum{ID: x.ID, Spectrum: x.Spectrum, Level: x.Loudness.Loudest30sLUFS})
		}
	}
	var b, plain bytes.Buffer
	if err := AdvisedJSON(&b, own, group, nil); err != nil {
		t.Fatal(err)
	}
	if err := TracksJSON(&plain, []*library.Track{own}, nil); err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(b.Bytes(), []byte("\n")); n != 1 || !bytes.HasPrefix(b.Bytes(), bytes.TrimSuffix(plain.Bytes(), []byte("}\n"))) {
		t.Errorf("%d lines, beginning %.80s", n, b.Bytes())
	}
	var got struct {
		ID     int64
		Advice struct {
			References int
			Moves      []struct {
				Filter string
				Hz, DB float64
			}
			Sides *struct{ Missing bool }
		}
	}
	if err := json.Unmarshal(b.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if a := got.Advice; got.ID != own.ID || a.References != len(group) || len(a.Moves) == 0 || a.Moves[0].Filter != "low shelf" || a.Moves[0].DB > -3 ||
		a.Sides == nil || !a.Sides.Missing {
		t.Errorf("%+v", got)
	}
	own.Marks.Ignore = true
	b.Reset()
	if err := AdvisedJSON(&b, own, group, nil); err != nil || b.Len() != 0 {
		t.Errorf("an ignored track: %v, %s", err, b.Bytes())
	}
}
