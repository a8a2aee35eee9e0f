package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

// deadPlain is the length, in seconds, from which no music leaves one side silent between
// cuts, or from one to the end, on the beat or not.
const deadPlain = 4.0

// dead names channels that are silent from the start of the track up to a place, or
// from one to the end, while the other one plays. Package faults names those that are
// silent all the time.
func (m *Meter) dead(grid Grid) []Finding {
	if len(m.gaps) < 2 {
		return nil
	}
	var out []Finding
	for c := range m.gaps {
		g := &m.gaps[c]
		if first := g.first; first.end > 0 && first.after.cuts(m.rate) {
			out = append(out, m.deadPart(c, 0, m.to(&first), m.to(&first), grid)...)
		}
		if last := g.last; last.start > 0 && last.before.cuts(m.rate) {
			out = append(out, m.deadPart(c, m.from(&last), m.seconds(m.total()), m.from(&last), grid)...)
		}
	}
	return out
}

// deadBetween tells whether a gap is of one channel, cut on both sides and for so long that the
// beat is no excuse, while the other one plays.
func (m *Meter) deadBetween(g *gap) bool {
	one := len(m.gaps) == 2 && (g.channels == 1 || g.channels == 2)
	return one && m.to(g)-m.from(g) >= deadPlain && g.before.cuts(m.rate) && g.after.cuts(m.rate) &&
		m.other(g.channels-1, m.from(g), m.to(g)) >= soundDB
}

// cuts tells whether the edge is sharp, or as sharp as an encoder leaves it.
func (e edge) cuts(rate float64) bool { return e.sharp() || e.steep(rate) }

// deadPart judges a silence of channel c with one edge in the track.
func (m *Meter) deadPart(c int, from, to, edge float64, grid Grid) []Finding {
	if to-from < deadLeast || grid.on(edge, to-from) && to-from < deadPlain || m.other(c, from, to) < soundDB {
		return nil
	}
	return []Finding{{
		Kind: reason.DeadPart, At: from, Until: to, Figure: to - from,
		Detail: fmt.Sprintf("the %s channel is dead for %s from %s", sideName(c, 2), span(to-from), reason.Place(from)),
	}}
}

// other is the level of the other channel than c in the whole blocks between two times,
// in dBFS.
func (m *Meter) other(c int, from, to float64) float64 {
	sum, n := 0.0, 0
	for i := int(math.Ceil(from / m.blocks.seconds)); i < len(m.blocks.list) && float64(i+1)*m.blocks.seconds <= to; i++ {
		sum += float64(m.blocks.list[i].swinging().power[1-c])
		n++
	}
	return decibels(sum / float64(max(1, n)))
}
