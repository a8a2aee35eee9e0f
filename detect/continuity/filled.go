package continuity

import (
	"math"
	"slices"
)

// fillUnder is how far under the sound on both its sides the noise lies that fills a hole, in
// dB, and fillBeside how far under what is right beside it: what is nearer is a quiet moment.
// fillFaint is how far the sound may lie under the loud parts, in dB: in a quiet part sounds
// that are cut lie on the noise of their own.
const fillUnder, fillBeside, fillFaint = 24.0, 20.0, 24.0

// filled names the gaps that are filled with noise or with one sample, and are none of the
// music's, but for what was found there before. A track with more than aloneMost has stops over a noise of its own.
func (m *Meter) filled(grid Grid, found []Finding) []Finding {
	if slices.ContainsFunc(m.fills, func(f fills) bool { return f.more }) {
		return nil
	}
	all := slices.DeleteFunc(m.mergedOf(func(c int) []gap { return m.fills[c].found }), func(g gap) bool { return !g.standsOut() })
	if len(all) > aloneMost {
		return nil
	}
	var out []Finding
	for i := range all {
		if g := &all[i]; m.isFilled(g, grid) && !m.rhythmic(all, i, grid) {
			f := m.hole(g)
			if !slices.ContainsFunc(found, func(o Finding) bool { return o.At <= f.Until && o.Until >= f.At }) {
				out = append(out, f)
			}
		}
	}
	return out
}

// standsOut tells whether a gap is cut on one side and lies far under the sound on both.
func (g *gap) standsOut() bool {
	over := func(p, db float64) bool { return g.held || p >= g.level*math.Pow(10, db/10) }
	under := over(min(g.before.far, g.after.far), fillUnder) && over(min(g.before.near, g.after.near), fillBeside)
	return under && (g.before.sharp() || g.after.sharp())
}

// isFilled decides over such a gap as isHole does over silence.
func (m *Meter) isFilled(g *gap, grid Grid) bool {
	if decibels(max(g.before.far, g.after.far)) < decibels(m.loudest())-fillFaint {
		return false
	}
	p := m.place(g, grid)
	switch stops, starts := g.before.sharp(), g.after.sharp(); {
	case g.held: // which no music does
		return true
	case stops && starts:
		return p.noStop(grid, lengthLoose)
	default:
		return p.noNote(grid, stops, starts)
	}
}
