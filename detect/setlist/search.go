package setlist

import (
	"math/rand/v2"
	"slices"
)

// The search for an order of many tracks: from the given order and from orders that always go
// on with the cheapest track, a stretch is turned round (2-opt), a few tracks are moved
// elsewhere, turned round or not (or-opt, I. Or, 1976), or two tracks change places, as long
// as that is cheaper; then two neighbouring stretches change places at random and what is
// near is improved again, and what is not cheaper is taken back (iterated local search:
// Lourenço, Martin and Stützle, in "Handbook of Metaheuristics", 2003). Costs differ by
// direction, so that a stretch that is turned round is added up the other way.
const (
	// moved is the longest stretch that is moved, and near how many of the tracks that go best
	// with one it is put beside.
	moved = 3
	near  = 10
	// starts are how many orders are begun from, besides the given one.
	starts = 3
	// A stretch is moved at random kicksLeast times, and kicksATrack more for each track.
	kicksLeast  = 2000
	kicksATrack = 4
	// kickReach is the most tracks that one of the stretches has, kickShare the most of all.
	kickReach = 30
	kickShare = 3
	swapsMost = 3
	// seed makes it the same each time.
	seed = 16
)

// search is an order that none of those moves makes cheaper.
func (p *problem) search(start []int) []int {
	r := rand.New(rand.NewPCG(seed, uint64(p.n)))
	best := p.walk(start)
	best.improve()
	for range starts {
		w := p.walk(p.greedy(r))
		w.improve()
		if w.total() < best.total()-cheaper {
			best = w
		}
	}
	for range kicksLeast + kicksATrack*p.n {
		before, was := slices.Clone(best.order), best.total()
		best.kick(r)
		best.improve()
		if best.total() >= was-cheaper {
			best.set(before)
		}
	}
	return best.order
}

// greedy is an order that goes on with the cheapest track each time, from a random one.
func (p *problem) greedy(r *rand.Rand) []int {
	used := make([]bool, p.n)
	var free []int
	for t := range p.n {
		used[t] = slices.Contains(p.kept, t)
		if !used[t] {
			free = append(free, t)
		}
	}
	order := slices.Clone(p.kept)
	for i, k := range order {
		switch {
		case k >= 0:
			continue
		case i == 0:
			order[i] = free[r.IntN(len(free))]
		default:
			order[i] = p.nearest(order[i-1], used)
		}
		used[order[i]] = true
	}
	return order
}

// nearest is the track, of those not used, that costs least after another.
func (p *problem) nearest(from int, used []bool) int {
	best := -1
	for t := range p.n {
		if !used[t] && (best < 0 || p.step(from, t) < p.step(from, best)) {
			best = t
		}
	}
	return best
}

// walk is an order with what it costs up to each place, forwards and backwards.
type walk struct {
	*problem
	order         []int
	place         []int // of each track
	forth, back   []float64
	keptUpTo      []int // how many places before this one are kept
	dirty         []int // tracks whose surroundings changed
	waiting       []bool
	after, before [][]int // the tracks that cost least after and before each
}

func (p *problem) walk(order []int) *walk {
	w := &walk{problem: p, order: slices.Clone(order), forth: make([]float64, p.n), back: make([]float64, p.n),
		keptUpTo: make([]int, p.n+1), waiting: make([]bool, p.n), place: make([]int, p.n), after: p.neighbours(p.step),
		before: p.neighbours(func(t, u int) float64 { return p.step(u, t) })}
	for i, k := range p.kept {
		w.keptUpTo[i+1] = w.keptUpTo[i]
		if k >= 0 {
			w.keptUpTo[i+1]++
		}
	}
	w.sum(0)
	for _, t := range order {
		w.touch(t)
	}
	return w
}

// neighbours are, for each track, those of the least cost, the cheapest first.
func (p *problem) neighbours(cost func(t, u int) float64) [][]int {
	all := make([][]int, p.n)
	for t := range all {
		list := make([]int, 0, near+1)
		for u := range p.n {
			if u == t || len(list) == near && cost(t, u) >= cost(t, list[near-1]) {
				continue
			}
			at := len(list)
			for at > 0 && cost(t, u) < cost(t, list[at-1]) {
				at--
			}
			list = slices.Insert(list, at, u)
			list = list[:min(near, len(list))]
		}
		all[t] = list
	}
	return all
}

// set puts an order back.
func (w *walk) set(order []int) {
	copy(w.order, order)
	w.sum(0)
}

// sum works the sums out anew from a place on.
func (w *walk) sum(from int) {
	for i := from; i < w.n; i++ {
		w.place[w.order[i]] = i
	}
	for i := max(1, from); i < w.n; i++ {
		a, b := w.order[i-1], w.order[i]
		w.forth[i] = w.forth[i-1] + w.step(a, b)
		w.back[i] = w.back[i-1] + w.step(b, a)
	}
}

func (w *walk) total() float64 { return w.forth[w.n-1] }

// free tells that no place from i to j is kept.
func (w *walk) free(i, j int) bool { return w.keptUpTo[j+1] == w.keptUpTo[i] }

// touch puts a track among those that are looked at.
func (w *walk) touch(t int) {
	if !w.waiting[t] {
		w.waiting[t] = true
		w.dirty = append(w.dirty, t)
	}
}

// touchAround does so with the tracks at and beside a place.
func (w *walk) touchAround(i int) {
	for k := max(0, i-1); k <= min(w.n-1, i+1); k++ {
		w.touch(w.order[k])
	}
}
