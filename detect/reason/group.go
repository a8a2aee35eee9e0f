package reason

import "fmt"

// Basis says what a track is held against.
type Basis string

const (
	BasisNamed    Basis = "named"    // references chosen by hand
	BasisTempo    Basis = "tempo"    // released tracks within 6 % of its tempo
	BasisReleased Basis = "released" // all released tracks
	BasisFixed    Basis = "fixed"    // values that are common practice, no source
)

// Group is what a deviation is held against.
type Group struct {
	Basis  Basis
	Tracks int
	Few    bool    // too few for a group by tempo
	Centre float64 // the median or fixed value of the figure at hand
}

// words names the group, with its centre in the unit of a code's figure.
func (g Group) words(code string) string {
	figure := fmt.Sprintf("%+.1f dB", g.Centre)
	switch code {
	case Quiet, Loud:
		figure = fmt.Sprintf("%.1f LUFS", g.Centre)
	case OverFullScale:
		figure = fmt.Sprintf("%+.1f dBTP", g.Centre)
	}
	switch g.Basis {
	case BasisFixed:
		return fmt.Sprintf("the fixed value of %s (common practice, no source; too few references)", figure)
	case BasisTempo:
		return fmt.Sprintf("the %d released tracks within 6 %% of its tempo (median %s)", g.Tracks, figure)
	case BasisNamed:
		return fmt.Sprintf("%s (median %s)", g.named(), figure)
	}
	few := ""
	if g.Few {
		few = ", few"
	}
	return fmt.Sprintf("the %d released tracks (median %s%s)", g.Tracks, figure, few)
}

// named counts references named by hand, of which one may do.
func (g Group) named() string {
	if g.Tracks == 1 {
		return "the named reference"
	}
	return "the " + Counted(g.Tracks, "named reference")
}
