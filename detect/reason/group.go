package reason

import "fmt"

// Basis says what a track is held against.
type Basis string

const (
	BasisNamed    Basis = "named"    // references chosen by hand
	BasisLike     Basis = "like"     // the released tracks most like it in tempo and rhythm
	BasisReleased Basis = "released" // all released tracks
	BasisFixed    Basis = "fixed"    // values that are common practice, no source
)

// Group is what a deviation is held against.
type Group struct {
	Basis  Basis
	Tracks int
	Few    bool    // so few that it is said
	Usual  bool    // named, and too few for a spread of their own
	Centre float64 // the median or fixed value of the figure at hand
}

// words names the group, with its centre in the unit of a code's figure.
func (g Group) words(code string) string {
	centre := tenth(g.Centre)
	figure := fmt.Sprintf("%+.1f dB", centre)
	switch code {
	case Quiet, Loud:
		figure = fmt.Sprintf("%.1f LUFS", centre)
	case OverFullScale:
		figure = fmt.Sprintf("%+.1f dBTP", centre)
	}
	switch g.Basis {
	case BasisFixed:
		return fmt.Sprintf("the fixed value of %s (common practice, no source; too few references)", figure)
	}
	few := ""
	switch {
	case g.Usual:
		few = ", with the usual spread, as they are too few for one of their own"
		if g.Tracks == 1 {
			few = ", with the usual spread, as one has none of its own"
		}
	case g.Few && g.Basis != BasisNamed:
		few = ", few"
	}
	return fmt.Sprintf("%s (median %s%s)", g.name(), figure, few)
}

// name is the group without a figure.
func (g Group) name() string {
	switch g.Basis {
	case BasisNamed:
		return g.named()
	case BasisLike:
		return fmt.Sprintf("the %d released tracks most like it", g.Tracks)
	}
	return fmt.Sprintf("the %d released tracks", g.Tracks)
}

// named counts references named by hand, of which one may do.
func (g Group) named() string {
	if g.Tracks == 1 {
		return "the named reference"
	}
	return "the " + Counted(g.Tracks, "named reference")
}
