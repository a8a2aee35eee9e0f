package setlist

import "math"

// exact is the cheapest order, by the recursion of Held and Karp ("A dynamic programming
// approach to sequencing problems", J. SIAM 10(1), 1962): the cheapest way to have played the
// tracks of a set S, the last being j, is
//
//	C(S, j) = min over i in S without j of  C(S without j, i) + cost(i, j)
//
// The place of j is the size of S, so that a place that is kept for a track is kept.
func (p *problem) exact(start []int) []int {
	if p.n < 2 {
		return start
	}
	best := make([]float64, p.n<<p.n)
	from := make([]int8, p.n<<p.n)
	for set := 1; set < 1<<p.n; set++ {
		place := ones(set) - 1
		for j := range p.n {
			at := set*p.n + j
			best[at] = math.Inf(1)
			if set&(1<<j) == 0 || !p.allowed(j, place) {
				continue
			}
			if place == 0 {
				best[at] = 0
				continue
			}
			before := set &^ (1 << j)
			for i := range p.n {
				if c := best[before*p.n+i] + p.step(i, j); before&(1<<i) != 0 && c < best[at] {
					best[at], from[at] = c, int8(i)
				}
			}
		}
	}
	all := 1<<p.n - 1
	last := 0
	for j := range p.n {
		if best[all*p.n+j] < best[all*p.n+last] {
			last = j
		}
	}
	order := make([]int, p.n)
	for set, place := all, p.n-1; place >= 0; place-- {
		order[place] = last
		last, set = int(from[set*p.n+last]), set&^(1<<last)
	}
	return order
}

// allowed tells that a track may be played at a place.
func (p *problem) allowed(track, place int) bool {
	if k := p.kept[place]; k >= 0 {
		return k == track
	}
	for _, k := range p.kept {
		if k == track {
			return false
		}
	}
	return true
}

func ones(set int) (n int) {
	for ; set != 0; set &= set - 1 {
		n++
	}
	return n
}
