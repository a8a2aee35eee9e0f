package standout

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// toned is a move that was found in a track.
type toned struct {
	Move
	severity reason.Severity
	past     float64 // how far off it lies, over where it would be named
	way      *way
	behind   bool // the limiter, as the peaks of the track tell
}

// thin tells that there is too little low end.
func (t toned) thin() bool { return t.Code == reason.LowEndThin || t.Code == reason.SubThin }

// mostMoves is how many moves are named at most; what the first leave is searched for the
// next.
const mostMoves = 3

// mostLevel is what counts of a deviation of level, in LU, beside the balance: about what an
// equaliser makes. What lies beyond is a level of its own, and judged as one.
const mostLevel = 1.5

// tones finds what an equaliser would have to take back in x, the largest first. The
// likeliest comes first and is taken out before the next is looked for, so that a dull top
// is not a heavy bass as well.
// other tells that nothing is found and the track is likelier of another kind, k being how
// it stands to the references.
func (p *predictor) tones(x tone, f *favours, k kinship) (found []toned, other bool) {
	d := make([]float64, len(p.index))
	p.from(x, d)
	for i, figure := range p.index {
		if figure == loud {
			d[i] = math.Max(-mostLevel, math.Min(mostLevel, d[i]))
		}
	}
	kinds := p.kinds(d, k)
	asked := kinds
	for range mostMoves {
		best, ok := p.likeliest(d, f, asked)
		if !ok || slices.ContainsFunc(found, func(o toned) bool { return o.Code == best.Code }) {
			break
		}
		found = append(found, best)
		for i, e := range best.way.effect {
			d[i] -= float64(best.DB) * e
		}
		asked = p.kinds(d, k)
	}
	slices.SortStableFunc(found, func(a, b toned) int { return cmp.Compare(b.past, a.past) })
	return found, len(found) == 0 && kinds > 2
}

// likeliest, held against so many readings in which nothing was done, is the name that has most of the odds, and of the moves of that name the
// likeliest; ok when the odds that anything was done are past the cut-off.
func (p *predictor) likeliest(d []float64, f *favours, kinds float64) (best toned, ok bool) {
	all, odds := p.weighed(d, f)
	odds /= kinds
	if !(odds > p.check) {
		return best, false
	}
	names := map[string]float64{}
	for _, e := range all {
		names[e.way.code] += e.odds
	}
	most := all[0]
	for _, e := range all[1:] {
		a, b := names[e.way.code], names[most.way.code]
		if a > b || (e.way.code == most.way.code && e.odds > most.odds) {
			most = e
		}
	}
	m := most.way.move
	best = toned{Move{Code: most.way.code, DB: detect.Value(most.dB), Spreads: detect.Value(most.spread), Filter: m.filter, Hz: detect.Value(m.hz)}, reason.Check, p.past(d, f, kinds), most.way, most.behind}
	if math.Abs(most.dB) >= 2*m.audible && odds > oddsHold {
		best.severity = reason.HoldBack
	}
	return best, true
}

// past is by how much more something lies off than what would just be named: 1 over the
// share of d at which the odds pass the cut-off.
func (p *predictor) past(d []float64, f *favours, kinds float64) float64 {
	part := make([]float64, len(d))
	below, above := 0.0, 1.0
	for range pastSteps {
		middle := (below + above) / 2
		for i, v := range d {
			part[i] = middle * v
		}
		if _, odds := p.weighed(part, f); odds > p.check*kinds {
			above = middle
		} else {
			below = middle
		}
	}
	return 1 / above
}

// pastSteps of halving bring that to within 1 in 4,000 of d.
const pastSteps = 12
