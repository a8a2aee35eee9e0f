package setlist

import (
	"slices"
)

// exactMost is up to how many tracks an order is found that none is cheaper than: the table of
// Held and Karp has n 2^n entries.
const exactMost = 12

// MostSuggested is the most tracks that an order is looked for: more are no set, and the costs
// of all steps take 8 n^2 bytes.
const MostSuggested = 2000

// Suggest looks for a cheaper order of the same tracks. Those of f keep their places. The
// order that it gives is never dearer than the given one, and the same each time; up to
// exactMost tracks none is cheaper.
func Suggest(tracks []Track, o Options, f Fixed) Suggestion {
	o = o.filled()
	w := o.costs()
	n := len(tracks)
	given := make([]int, n)
	for i := range given {
		given[i] = i
	}
	g := newProblem(tracks, &w, f)
	s := Suggestion{Order: given, Exact: n <= exactMost, Before: w.along(tracks, given)}
	start := g.start(given)
	if s.Exact {
		s.Order = g.exact(start)
	} else {
		s.Order = g.search(start)
	}
	// What was only moved to where it is wanted is no dearer order; without such wishes
	// the given one stands unless another is cheaper.
	if slices.Equal(start, given) && g.cost(s.Order) >= g.cost(given)-cheaper {
		s.Order = given
	}
	s.After = w.along(tracks, s.Order)
	return s
}

// cheaper is by how much an order must be cheaper to be another: more than rounding.
const cheaper = 1e-9

// problem is the cost of each step between any two tracks, and which track each place is kept
// for, -1 for any.
type problem struct {
	n      int
	matrix []float64 // from x n + to
	kept   []int     // by place
}

func newProblem(tracks []Track, w *costs, f Fixed) *problem {
	p := &problem{n: len(tracks), matrix: make([]float64, len(tracks)*len(tracks)), kept: make([]int, len(tracks))}
	for i := range tracks {
		for j := range tracks {
			if i != j {
				p.matrix[i*p.n+j] = w.of(&tracks[i], &tracks[j]).Total
			}
		}
	}
	for i := range p.kept {
		p.kept[i] = -1
	}
	for track, place := range f.At {
		if track >= 0 && track < p.n && place >= 0 && place < p.n {
			p.kept[place] = track
		}
	}
	return p
}

func (p *problem) step(from, to int) float64 { return p.matrix[from*p.n+to] }

// cost of an order.
func (p *problem) cost(order []int) (sum float64) {
	for i := 1; i < len(order); i++ {
		sum += p.step(order[i-1], order[i])
	}
	return sum
}

// start is the given order with the tracks that have a place put there, the others as they
// come.
func (p *problem) start(given []int) []int {
	var rest []int
	for _, t := range given {
		if !slices.Contains(p.kept, t) {
			rest = append(rest, t)
		}
	}
	out := make([]int, p.n)
	for i, k := range p.kept {
		if k >= 0 {
			out[i] = k
			continue
		}
		out[i], rest = rest[0], rest[1:]
	}
	return out
}
