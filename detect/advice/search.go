package advice

import (
	"math"
	"slices"
	"sync"

	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// Most is how many moves are advised at most.
const Most = 4

const (
	// worth is the least of the sum of squares, in units of what tracks of the group
	// differ by, that one more move must explain, and worthShare the least share of it.
	// Fitted on masters with even seeds, clean and planted, beside eight others of their
	// genre: the advice is to bring nine of ten bands into the range.
	worth      = 2.0
	worthShare = 0.08
	// kept is how many first guesses are tried in full for each move.
	kept      = 3
	tryout    = 4  // steps of refinement for each of them
	thorough  = 12 // and for what is advised
	gridSteps = 3  // of the search in an octave
)

// guesses are the filters that are tried, of 1 dB each.
var guesses = func() []shape {
	var out []shape
	add := func(f reason.Filter, q float64) {
		for o := math.Log2(limits[f].from); o <= math.Log2(limits[f].to); o += 1.0 / gridSteps {
			out = append(out, shape{f, 1, o, q})
		}
	}
	add(reason.LowShelf, 1)
	add(reason.HighShelf, 1)
	for _, q := range []float64{0.5, 0.8, 1.3, 2.2, 4} {
		add(reason.Bell, q)
	}
	return out
}()

// guessed are the gains of the guesses in each third octave, worked out once.
var guessed = sync.OnceValue(func() [][spectrum.Bands]float64 {
	out := make([][spectrum.Bands]float64, len(guesses))
	for i, s := range guesses {
		t := s.tuned()
		for b := range out[i] {
			out[i][b] = t.over(b)
		}
	}
	return out
})

// guess is a filter and how much it explains.
type guess struct {
	shape
	gain float64
}

// next lists the filters that explain most of what a model leaves, best first, no two
// next to each other.
//
//	dB = a'W r / a'W a,  explained = (a'W r)^2 / a'W a,  a without its mean
func (p *problem) next(m *model) []guess {
	left := p.left(m)
	total := 0.0
	for _, w := range p.weight {
		total += w
	}
	total += 1 / (p.loose * p.loose)
	all := make([]guess, 0, len(guesses))
	a := make([]float64, len(p.band))
	for g, s := range guesses {
		mean := 0.0
		for i, b := range p.band {
			a[i] = guessed()[g][b]
			mean += p.weight[i] * a[i] / total
		}
		ar, aa := 0.0, 0.0
		for i, v := range a {
			ar += p.weight[i] * (v - mean) * left[i]
			aa += p.weight[i] * (v - mean) * (v - mean)
		}
		if aa > 0 {
			s.dB = ar / aa
			all = append(all, guess{s.within(), ar * ar / aa})
		}
	}
	slices.SortStableFunc(all, func(a, b guess) int { return -cmpFloat(a.gain, b.gain) })
	return apart(all)
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// apart keeps the best guesses of which no two are one filter at nearly one place.
func apart(all []guess) []guess {
	var out []guess
	for _, g := range all {
		near := func(o guess) bool { return o.filter == g.filter && math.Abs(o.octave-g.octave) < 1 }
		if !slices.ContainsFunc(out, near) {
			if out = append(out, g); len(out) == kept {
				break
			}
		}
	}
	return out
}

// solve finds the fewest filters that explain the curve, at most so many: from those of
// a first model on one after the other, each the best with all before it refined beside
// it; then the first number of them that no larger one is worth more than. allow says of
// a model whether its filter at an index may be advised.
func (p *problem) solve(first model, most int, allow func(m *model, i int) bool) model {
	grown := p.refine(first, thorough)
	best := p.prune(grown, allow)
	for len(grown.shapes) < most {
		next, ok := p.grow(&grown)
		if !ok {
			break
		}
		grown = next
		found := p.prune(grown, allow)
		more := float64(len(found.shapes) - len(best.shapes))
		if more > 0 && best.cost-found.cost >= more*best.price() {
			best = found
		}
	}
	return best
}

// price is what one more filter must explain.
func (m *model) price() float64 { return max(worth, worthShare*m.cost) }

// grow adds the filter that leaves least. A bell, which has a width to choose as well,
// must leave less than a shelf by half the price of a filter.
func (p *problem) grow(m *model) (best model, ok bool) {
	least := math.Inf(1)
	for _, g := range p.next(m) {
		n := p.refine(model{level: m.level, shapes: append(slices.Clone(m.shapes), g.shape)}, tryout)
		cost := n.cost
		if g.filter == reason.Bell {
			cost += m.price() / 2
		}
		if cost < least {
			least, best, ok = cost, n, true
		}
	}
	return p.refine(best, thorough), ok
}

// prune takes out, the smallest first, what may not be advised.
func (p *problem) prune(m model, allow func(m *model, i int) bool) model {
	for {
		worst := -1
		for i, s := range m.shapes {
			if !allow(&m, i) && (worst < 0 || math.Abs(s.dB) < math.Abs(m.shapes[worst].dB)) {
				worst = i
			}
		}
		if worst < 0 {
			return m
		}
		m.shapes = slices.Delete(slices.Clone(m.shapes), worst, worst+1)
		m = p.refine(m, thorough)
	}
}
