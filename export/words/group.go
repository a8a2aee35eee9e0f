package words

import (
	"fmt"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Group names what a track is held against.
func (s Style) Group(g *standout.Group) string {
	switch g.Basis {
	case "like":
		return fmt.Sprintf("the %s most like it in tempo and rhythm, at %s", Counted(g.Tracks, "released track"), s.Figure(g.BPM, "BPM"))
	case "named":
		s := Counted(g.Tracks, "reference") + " named by hand"
		switch {
		case g.Tracks == 1:
			s += ", which has no spread of its own: the usual one serves"
		case g.Tracks < standout.MinGroup:
			s += ", too few for a spread of their own: the usual one serves"
		}
		return s
	case "released":
		return Counted(g.Tracks, "released track")
	case "fixed":
		return "fixed values (common practice, no source), as there are too few references"
	}
	return "nothing"
}

// HeldAgainst says what a library of so many tracks is held against: refs are its
// references.
func HeldAgainst(tracks int, refs []*library.Track) string {
	named := false
	for _, t := range refs {
		named = named || t.Marks.Reference
	}
	s := Counted(tracks, "track") + ", held against "
	switch {
	case named && len(refs) != 1:
		return s + fmt.Sprintf("%d references named by hand.", len(refs))
	case named:
		return s + "1 reference named by hand."
	case len(refs) < standout.MinGroup:
		return s + "fixed values (common practice, no source): " + Counted(len(refs), "released track") + " are too few for statistics."
	}
	return s + Counted(len(refs), "released track") + ", each against those most like it in tempo and rhythm."
}

// Ceiling is the highest true peak in dBTP that trims in files may reach.
func Ceiling(o standout.Options) string {
	c := standout.DefaultCeiling
	if o.Ceiling != nil {
		c = *o.Ceiling
	}
	return Page.Number(detect.Value(c), 1)
}
