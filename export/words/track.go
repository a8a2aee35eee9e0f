package words

import (
	"path"
	"slices"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Deviation finds what was said of one quantity of a track; its numbers do not
// exist when nothing was.
func Deviation(t *library.Track, q standout.Quantity) standout.Deviation {
	for _, d := range t.Deviations {
		if d.Quantity == q {
			return d
		}
	}
	return standout.Deviation{Quantity: q, Value: detect.None, DB: detect.None, Spreads: detect.None}
}

// LowPart is how far a part of the low end of a track lies off its references, dB; "none" where
// the track has nothing there, and "-" where they have nothing: how far under the music nothing
// lies is a figure of the noise.
func (s Style) LowPart(t *library.Track, part standout.Quantity) string {
	d := Deviation(t, part)
	switch {
	case d.Value.Exists() && reason.NextToNone(float64(d.Value)):
		return "none"
	case d.DB.Exists() && reason.NextToNone(float64(d.Value-d.DB)):
		return s.Change(detect.None, "")
	}
	return s.Change(d.DB, "")
}

// reasonsOf are the codes by which a quantity of a track stands out.
var reasonsOf = map[standout.Quantity][]string{
	standout.Level:  {reason.Quiet, reason.Loud},
	standout.LowEnd: {reason.LowEndThin, reason.LowEndHeavy},
	standout.Sub:    {reason.SubThin, reason.SubHeavy},
	standout.Mono:   {reason.MonoLoss},
}

// StandsOut tells that a track's verdict comes from this quantity, or from it too.
func StandsOut(t *library.Track, q standout.Quantity) bool {
	for _, code := range reasonsOf[q] {
		if slices.Contains(t.Reasons, code) && !t.Marks.Ignore {
			return true
		}
	}
	return false
}

// Folder is the part of a place (Sticks.Place) before the name of the file; "" is for a file
// that lies in none.
func Folder(place string) string { return place[:max(0, strings.LastIndex(place, "/"))] }

// Name is what a track is called where there is one line for it: artist and
// title as tagged, else the file's name.
func Name(t *library.Track) string {
	title, artist := Clean(t.Tags.Title), Clean(t.Tags.Artist)
	switch {
	case title == "":
		return Clean(path.Base(t.Path))
	case artist == "":
		return title
	}
	return artist + " - " + title
}

// Tempo is the measured tempo in BPM. What a tag says never stands in for it.
func Tempo(t *library.Track) detect.Value { return t.Measurement.Tempo.BPM }

// KeyName is the measured key, empty where there is none. What a tag says never
// stands in for it.
func KeyName(t *library.Track) string {
	if k := t.Measurement.Key; k != nil {
		return k.Name
	}
	return ""
}
