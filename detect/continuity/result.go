package continuity

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

// partStays is the difference of the channels in the whole, in dB, that is said beside a
// part in which one is weak.
const partStays = 2.0

// Result gives what was found, in order of the place in the track, what is of the
// whole of it first. Call it once, after the last Write.
func (m *Meter) Result(g Grid) []Finding {
	m.look(true)
	m.blocks.end()
	var out []Finding
	if m.total() == 0 {
		return out
	}
	out = append(out, m.alien()...)
	out = append(out, m.holes(g)...)
	out = append(out, m.filled(g, out)...)
	out = append(out, m.dead(g)...)
	out = append(out, m.ends(g)...)
	balance := m.balance(g)
	broken := slices.ContainsFunc(out, func(f Finding) bool { return f.Kind == reason.DeadPart })
	part := slices.ContainsFunc(balance, func(f Finding) bool { return f.Kind == reason.WeakPart })
	for _, f := range balance {
		// A channel that is dead for half of the track is weak for that reason, and one that
		// is weak for a part may be a little so in the whole.
		if f.Kind != reason.WeakChannel || !broken && !(part && f.Figure < partStays) {
			out = append(out, f)
		}
	}
	out = append(out, m.delay()...)
	out = append(out, m.twice(g)...)
	out = append(out, m.jumps(g)...)
	slices.SortStableFunc(out, func(a, b Finding) int { return cmp.Compare(a.At, b.At) }) // NaN comes first
	return out
}

// loudest is the level of the louder parts, a mean square: of a tenth of the blocks
// the lowest.
func (m *Meter) loudest() float64 {
	if n := len(m.blocks.list); n != m.loudOf {
		p := make([]float64, n)
		for i, b := range m.blocks.list {
			p[i] = float64(b.power[0] + b.power[1])
		}
		slices.Sort(p)
		m.loud, m.loudOf = p[n*9/10], n
	}
	if m.loudOf == 0 {
		return math.NaN()
	}
	return m.loud
}
