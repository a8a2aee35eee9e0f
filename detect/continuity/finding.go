package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

// Finding is one break in the continuity of a track.
type Finding struct {
	Kind   reason.Kind
	Detail string  // in words, with figures; no full stop
	At     float64 // seconds into the track, NaN when it is the whole of it
	Until  float64 // where it ends, in seconds; NaN with At
	// Figure is what the severity goes by: seconds for holes, repeats and foreign
	// data, dB for weak channels and cuts (the level at the cut), samples for delays,
	// the correlation for polarity.
	Figure float64
}

// Grid is the beat of the track as package tempo found it. The zero value says that
// it is not known.
type Grid struct {
	BPM        float64 // NaN or 0: not known
	FirstBeat  float64 // seconds
	Confidence float64 // 0 to 1
	FirstBar   float64 // seconds: a beat that begins a bar of barBeats, with BarKnown
	BarKnown   bool
}

// barBeats is the number of beats to a bar.
const barBeats = 4

// gridConfidence is the least confidence for the grid to speak for a stop. The
// confidence is low where half and double are both likely, which does not matter
// here: a beat of either lies on the grid of sixteenths.
const gridConfidence = 0.15

func (g Grid) known() bool { return g.plausible() && g.Confidence >= gridConfidence }

// plausible tells that there is a grid at all, however sure.
func (g Grid) plausible() bool {
	return g.BPM > 0 && g.BPM < 1000 && !math.IsNaN(g.FirstBeat) && !math.IsInf(g.FirstBeat, 0)
}

// beat is the length of a beat in seconds.
func (g Grid) beat() float64 { return 60 / g.BPM }

// off is the distance, in seconds, of a time from the nearest of the points that
// part every beat into so many.
func (g Grid) off(t, parts float64) float64 {
	step := g.beat() / parts
	return math.Abs(math.Remainder(t-g.FirstBeat, step))
}

// inBar tells that a time is known to lie off the bar lines by more than endGrid.
func (g Grid) inBar(t float64) bool {
	return g.known() && g.BarKnown && math.Abs(math.Remainder(t-g.FirstBar, barBeats*g.beat())) > endGrid
}

// span words a length of time.
func span(s float64) string {
	switch {
	case s < 0.0095:
		return fmt.Sprintf("%.1f ms", 1000*s)
	case s < 0.9995:
		return fmt.Sprintf("%.0f ms", 1000*s)
	}
	return fmt.Sprintf("%.1f s", s)
}

// sideName words a channel's place.
func sideName(c, channels int) string {
	switch {
	case channels == 1:
		return "only"
	case c == 0:
		return "left"
	}
	return "right"
}
