package continuity

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

// dropped names the parts from where a channel drops by some dB within a sample, to where
// it comes back, if that was seen.
func (m *Meter) dropped(g Grid, ws []weigh) []Finding {
	var out []Finding
	for _, what := range []int{editLeft, editRight} {
		all := m.editsOf(what, func(e edit) bool { return e.gain > 0 && (e.gain <= lessTo || e.gain >= 1/lessTo) && !m.meant(e, g) })
		for len(all) > 0 {
			e, after := all[0], all[1:]
			all = after
			d, at := -20*math.Log10(e.gain), m.seconds(e.at)
			back := slices.IndexFunc(after, func(o edit) bool { return math.Abs(o.gain*e.gain-1) <= backSame })
			switch from, ok := m.roseFrom(ws, e); {
			case e.gain < 1 && back >= 0 && max(m.leans(ws, e, at), -m.leans(ws, e, m.seconds(after[back].at))) >= leansBy*d:
				out = append(out, weakFrom(what, d, at, m.seconds(after[back].at)))
				all = slices.Delete(slices.Clone(after), back, back+1)
			case e.gain < 1 && m.leans(ws, e, at) >= leansBy*d:
				out = append(out, Finding{Kind: reason.WeakPart, At: at, Until: at, Figure: d,
					Detail: fmt.Sprintf("the %s channel drops by %.1f dB at once at %s", sideName(what, 2), d, reason.Place(at))})
			case e.gain > 1 && ok:
				out = append(out, weakFrom(what, -d, from, at))
			}
		}
	}
	return out
}

func weakFrom(what int, d, at, until float64) Finding {
	return Finding{
		Kind: reason.WeakPart, At: at, Until: until, Figure: d,
		Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than in the rest of the track for %s from %s",
			sideName(what, 2), d, span(until-at), reason.Place(at)),
	}
}

// leans is how far the balance moves at a time to the other side than that of the edit, in
// dB: negative where the channel of the edit gains.
func (m *Meter) leans(ws []weigh, e edit, at float64) float64 {
	return float64(2*e.what-1) * leansAt(ws, m.blockAt(at, len(ws)))
}

// roseFrom looks for the drop that a rise takes back, which was not seen itself: the place
// where the balance moves most the other way. Both must move by about as much as the edit
// does, and by stepDB, as a hit that begins just then is taken for a rise, too.
func (m *Meter) roseFrom(ws []weigh, e edit) (from float64, ok bool) {
	d, at := 20*math.Log10(e.gain), m.seconds(e.at)
	if d < stepDB || math.Abs(m.leans(ws, e, at)+d) > leansOff {
		return 0, false
	}
	to := m.blockAt(at-partLeast, len(ws))
	best := leansOff
	for i := max(0, m.blockAt(at, len(ws))-int(partMost*float64(len(ws)))); i < to; i++ {
		t := float64(i) * m.blocks.seconds
		if off := math.Abs(m.leans(ws, e, t) - d); off < best {
			best, from, ok = off, t, true
		}
	}
	return from, ok
}

// leansAt is how far the balance moves at block i, in dB: the mean of the rest and the top,
// 0 where too little plays.
func leansAt(ws []weigh, i int) float64 {
	sides := [2][]weigh{stretchOf(ws, i-1, -1, stepBlocks, stepBlocks, heard), stretchOf(ws, i+1, 1, stepBlocks, stepBlocks, heard)}
	if min(len(sides[0]), len(sides[1])) < stepLeast {
		return 0
	}
	return (bandStep(sides, restOf, stepRest).db + bandStep(sides, topOf, stepRest).db) / 2
}
