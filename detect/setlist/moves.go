package setlist

import (
	"math/rand/v2"
	"slices"
)

// improve makes moves as long as one is cheaper.
func (w *walk) improve() {
	for len(w.dirty) > 0 {
		t := w.dirty[len(w.dirty)-1]
		w.dirty = w.dirty[:len(w.dirty)-1]
		w.waiting[t] = false
		if m := w.best(t); m.gain > cheaper {
			w.do(m)
			w.touch(t)
		}
	}
}

// move is one of the moves: the places from i to j are turned round; or moved to between to
// and to+1, turned round or not; or i and j change places.
type move struct {
	kind     moveKind
	i, j, to int
	turned   bool
	gain     float64
}

type moveKind int

const (
	turn moveKind = iota
	shift
	swap
)

// best is the cheapest move that puts a track beside one of those that go well with it.
func (w *walk) best(t int) (best move) {
	at := w.place[t]
	for _, u := range w.after[t] {
		w.join(&best, at, w.place[u])
	}
	for _, u := range w.before[t] {
		w.join(&best, w.place[u], at)
	}
	return best
}

// join looks for the best move after which the track at place b comes right behind the one at
// place a.
func (w *walk) join(best *move, a, b int) {
	if b == a+1 {
		return
	}
	if b > a {
		w.tryTurn(best, a+1, b)
		w.tryTurn(best, a, b-1)
	}
	w.trySwap(best, a, b-1)
	w.trySwap(best, a+1, b)
	for n := range moved {
		// What begins with b goes behind a, what ends with b turned round; and what ends with a
		// before b, what begins with a turned round.
		w.tryShift(best, b, b+n, a, false)
		w.tryShift(best, b-n, b, a, true)
		w.tryShift(best, a-n, a, b-1, false)
		w.tryShift(best, a, a+n, b-1, true)
	}
}

func (w *walk) tryTurn(best *move, i, j int) {
	if i >= j || !w.free(i, j) {
		return
	}
	if gain := w.gainOfTurn(i, j); gain > best.gain {
		*best = move{kind: turn, i: i, j: j, gain: gain}
	}
}

func (w *walk) trySwap(best *move, i, j int) {
	i, j = min(i, j), max(i, j)
	if i < 0 || i == j || j >= w.n || w.kept[i] >= 0 || w.kept[j] >= 0 {
		return
	}
	if gain := w.gainOfSwap(i, j); gain > best.gain {
		*best = move{kind: swap, i: i, j: j, gain: gain}
	}
}

func (w *walk) tryShift(best *move, i, j, to int, turned bool) {
	if i < 0 || j >= w.n || to < -1 || to >= i-1 && to <= j || !w.free(min(i, to+1), max(j, to)) {
		return
	}
	if gain := w.gainOfShift(i, j, to, turned); gain > best.gain {
		*best = move{kind: shift, i: i, j: j, to: to, turned: turned, gain: gain}
	}
}

// link is the cost of the step between the tracks at two places; 0 outside the order.
func (w *walk) link(i, j int) float64 {
	if i < 0 || j < 0 || i >= w.n || j >= w.n {
		return 0
	}
	return w.step(w.order[i], w.order[j])
}

// through is the cost of the places from i to j, in their order or turned round.
func (w *walk) through(i, j int, turned bool) float64 {
	if turned {
		return w.back[j] - w.back[i]
	}
	return w.forth[j] - w.forth[i]
}

func (w *walk) gainOfTurn(i, j int) float64 {
	return w.link(i-1, i) + w.through(i, j, false) + w.link(j, j+1) -
		w.link(i-1, j) - w.through(i, j, true) - w.link(i, j+1)
}

func (w *walk) gainOfSwap(i, j int) float64 {
	if j == i+1 {
		return w.gainOfTurn(i, j)
	}
	return w.link(i-1, i) + w.link(i, i+1) + w.link(j-1, j) + w.link(j, j+1) -
		w.link(i-1, j) - w.link(j, i+1) - w.link(j-1, i) - w.link(i, j+1)
}

func (w *walk) gainOfShift(i, j, to int, turned bool) float64 {
	first, last := i, j
	if turned {
		first, last = j, i
	}
	return w.link(i-1, i) + w.through(i, j, false) + w.link(j, j+1) + w.link(to, to+1) -
		w.link(i-1, j+1) - w.link(to, first) - w.through(i, j, turned) - w.link(last, to+1)
}

// do makes a move.
func (w *walk) do(m move) {
	switch m.kind {
	case turn:
		slices.Reverse(w.order[m.i : m.j+1])
		w.done(m.i, m.j)
	case swap:
		w.order[m.i], w.order[m.j] = w.order[m.j], w.order[m.i]
		w.done(m.i, m.j)
	case shift:
		if m.turned {
			slices.Reverse(w.order[m.i : m.j+1])
		}
		if m.to > m.j {
			exchange(w.order[m.i:m.to+1], m.j+1-m.i)
			w.done(m.i, m.to)
			w.touchAround(m.to - (m.j - m.i))
		} else {
			exchange(w.order[m.to+1:m.j+1], m.i-m.to-1)
			w.done(m.to+1, m.j)
			w.touchAround(m.to + 1 + m.j - m.i)
		}
	}
}

// done takes note that the places from i to j have changed.
func (w *walk) done(i, j int) {
	w.sum(i)
	w.touchAround(i)
	w.touchAround(j)
}

// exchange puts what lies from n on before what lies before n.
func exchange(x []int, n int) {
	slices.Reverse(x[:n])
	slices.Reverse(x[n:])
	slices.Reverse(x)
}

// kick lets two neighbouring stretches change places; or, half of the time and where there
// are kept places between, up to swapsMost pairs of tracks.
func (w *walk) kick(r *rand.Rand) {
	reach := max(1, min(kickReach, w.n/kickShare))
	i, n := r.IntN(w.n), 1+r.IntN(reach)
	j := i + n + r.IntN(reach)
	if r.IntN(2) == 0 && j < w.n && w.free(i, j) {
		exchange(w.order[i:j+1], n)
		w.done(i, j)
		w.touchAround(j - n)
		return
	}
	for range 1 + r.IntN(swapsMost) {
		i := r.IntN(w.n)
		k := i + r.IntN(reach+1)
		if k < w.n && w.kept[i] < 0 && w.kept[k] < 0 {
			w.order[i], w.order[k] = w.order[k], w.order[i]
			w.done(min(i, k), max(i, k))
		}
	}
}
