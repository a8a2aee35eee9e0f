package continuity

import (
	"fmt"
	"math"
)

// Kind names what was found.
type Kind string

// The kinds of findings.
const (
	Hole         Kind = "hole"          // the sound stops and goes on at once
	HoleEnd      Kind = "hole_end"      // it stops at once and never comes back
	DeadPart     Kind = "dead_part"     // one channel stops for half a second or more
	WeakChannel  Kind = "weak_channel"  // one channel is down in the whole track
	WeakPart     Kind = "weak_part"     // or in a part of it
	PolarityPart Kind = "polarity_part" // one channel is upside down in a part
	Delay        Kind = "channel_delay" // one channel is late in the whole track
	DelaySmall   Kind = "channel_delay_small"
	CutStart     Kind = "cut_start" // the track begins in the middle of sound
	CutEnd       Kind = "cut_end"   // and ends there
	CutFade      Kind = "cut_fade"  // a fade stops at once, well above silence
	CutTail      Kind = "cut_tail"  // the same where it is hardly heard
	Repeat       Kind = "repeat"    // a piece is played twice in a row
	Foreign      Kind = "foreign"   // data that is no sound
)

// Kinds lists them all.
var Kinds = []Kind{
	Hole, HoleEnd, DeadPart, WeakChannel, WeakPart, PolarityPart, Delay, DelaySmall,
	CutStart, CutEnd, CutFade, CutTail, Repeat, Foreign,
}

// Finding is one break in the continuity of a track.
type Finding struct {
	Kind   Kind
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
}

// gridConfidence is the least confidence for the grid to speak for a stop. The
// confidence is low where half and double are both likely, which does not matter
// here: a beat of either lies on the grid of sixteenths.
const gridConfidence = 0.15

func (g Grid) known() bool {
	return g.BPM > 0 && g.BPM < 1000 && g.Confidence >= gridConfidence && !math.IsNaN(g.FirstBeat) && !math.IsInf(g.FirstBeat, 0)
}

// beat is the length of a beat in seconds.
func (g Grid) beat() float64 { return 60 / g.BPM }

// off is the distance, in seconds, of a time from the nearest of the points that
// part every beat into so many.
func (g Grid) off(t, parts float64) float64 {
	step := g.beat() / parts
	return math.Abs(math.Remainder(t-g.FirstBeat, step))
}

// clock words a time in the track.
func clock(t float64) string { return fmt.Sprintf("%d:%06.3f", int(t)/60, math.Mod(t, 60)) }

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
