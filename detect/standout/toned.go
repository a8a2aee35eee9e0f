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
	past     float64 // spreads over the cut-off
	way      *way
}

// mostMoves is how many moves are named at most; what the first leave is searched for the
// next.
const mostMoves = 3

// tones finds what an equaliser would have to take back in x, the largest first. One
// move that explains the most comes first and is taken out before the next is looked
// for, so that a dull top is not a heavy bass as well.
func (p *predictor) tones(x tone, references int) []toned {
	d := make([]float64, len(p.index))
	p.from(x, d)
	check := cutoff(toneChance+toneFew/float64(references), p.dof)
	hold := cutoff(toneHold, p.dof)
	var found []toned
	for range mostMoves {
		best, ok := p.largest(d, check)
		if !ok || slices.ContainsFunc(found, func(o toned) bool { return o.Code == best.Code }) {
			break
		}
		best.severity = reason.Check
		if math.Abs(float64(best.DB)) >= 2*best.way.move.audible && math.Abs(float64(best.Spreads)) > hold {
			best.severity = reason.HoldBack
		}
		found = append(found, best)
		for i, e := range best.way.effect {
			d[i] -= float64(best.DB) * e
		}
	}
	slices.SortStableFunc(found, func(a, b toned) int { return cmp.Compare(b.past, a.past) })
	return found
}

// largest is the audible move with the most spreads in d; ok when it is past the cut-off.
func (p *predictor) largest(d []float64, check float64) (best toned, ok bool) {
	most := 0.0
	for i := range p.ways {
		w := &p.ways[i]
		dB, spreads := w.amount(d)
		if dB*w.sign < w.move.audible || math.Abs(spreads) <= clearly*most {
			continue
		}
		most = math.Abs(spreads)
		best = toned{Move{Code: w.code, DB: detect.Value(dB), Spreads: detect.Value(spreads), Filter: w.move.filter, Hz: detect.Value(w.move.hz)}, reason.Note, most / check, w}
	}
	return best, most > check
}
