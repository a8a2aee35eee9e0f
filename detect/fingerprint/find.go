package fingerprint

import (
	"cmp"
	"slices"
)

const (
	// leastVotes is how many sub-prints must agree to the bit, at one distance or the next,
	// for two prints to be laid on each other there; and one in voteShare of those that lie
	// on each other. Measured: of music that is the same, half a frame apart, at least 20
	// in a thousand do, and only a third of it need be.
	leastVotes, voteShare = 3, 200
	// mostLags is at how many distances two prints are laid on each other: an edit has one
	// for each part that was left.
	mostLags = 4
)

// Match is music that a print of the index shares with another.
type Match struct {
	Print int // its number in the index
	// Seconds of music are the same, in the one of the two that has less of it: a loop may
	// come more often in the other. Distinct of those in the print that was looked for do
	// not repeat one another.
	Seconds, Distinct float64
	// Differ is the share of the bits there that differ, 0 to about 0.3.
	Differ float64
	// At is where that begins in the print that was looked for, There in the other one, in
	// seconds.
	At, There float64
}

// Finder looks for prints; it is used by one goroutine.
type Finder struct {
	*Index
	heard int // of the print that is looked for
	voted []uint64
	dealt []uint64 // the votes, print by print
	ends  []int    // of the votes for each print
	lags  []lag
	laid  laid
}

// lag is a distance at which prints agree.
type lag struct{ later, votes int }

// Finder makes another one.
func (x *Index) Finder() *Finder { return &Finder{Index: x} }

// None is the number of no print.
const None = -1

// Find gives the prints of the index that hold the same music as p, in their order,
// without the one whose number is self: p itself, where it is there.
func (f *Finder) Find(p Print, self int) []Match {
	f.voted, f.heard = f.votes(f.voted[:0], p), p.heard()
	f.deal()
	var found []Match
	from := 0
	for print, end := range f.ends {
		votes := f.dealt[from:end]
		from = end
		if print == self || len(votes) < leastVotes {
			continue
		}
		slices.Sort(votes)
		if m, same := f.match(p, print, votes); same {
			found = append(found, m)
		}
	}
	return found
}

// deal gives the votes to the prints that they are for: sorting all of them would take
// longer than everything else.
func (f *Finder) deal() {
	print := func(v uint64) int { return int(v >> (placeBits + 1)) }
	f.ends = append(f.ends[:0], make([]int, len(f.prints))...)
	for _, v := range f.voted {
		f.ends[print(v)]++
	}
	sum := 0
	for i, n := range f.ends {
		f.ends[i] = sum
		sum += n
	}
	f.dealt = append(f.dealt[:0], f.voted...)
	for _, v := range f.voted {
		f.dealt[f.ends[print(v)]] = v
		f.ends[print(v)]++
	}
}

// match lays p on a print where the most votes agree.
func (f *Finder) match(p Print, print int, votes []uint64) (Match, bool) {
	f.bestLags(p, f.prints[print], votes)
	if len(f.lags) == 0 {
		return Match{}, false
	}
	least := leastShare * Step * float64(min(f.heard, f.heards[print]))
	f.laid.start(p, f.prints[print])
	for _, l := range f.lags {
		f.laid.lay(p, f.prints[print], l.later)
	}
	m := f.laid.result(p)
	m.Print = print
	return m, m.Seconds >= least && m.Distinct >= leastDistinct
}

// bestLags fills lags with those of p and q that got the most of the votes, which are in
// order.
func (f *Finder) bestLags(p, q Print, votes []uint64) {
	f.lags = f.lags[:0]
	if len(votes) < leastVotes {
		return
	}
	last, lastVotes := uint64(0), 0
	for i := 0; i < len(votes); {
		v, n := votes[i], 0
		for ; i < len(votes) && votes[i] == v; i++ {
			n++
		}
		if v != last+1 {
			lastVotes = 0
		}
		both := n + lastVotes
		later := int(v&(1<<(placeBits+1)-1)) - 1<<placeBits
		if over := min(len(p), len(q)-later) - max(0, -later); both >= max(leastVotes, over/voteShare) {
			if lastVotes > n { // the one before lies nearer
				later--
			}
			if k := len(f.lags) - 1; k >= 0 && f.lags[k].later == later {
				f.lags = f.lags[:k]
			}
			f.lags = append(f.lags, lag{later, both})
		}
		last, lastVotes = v, n
	}
	slices.SortStableFunc(f.lags, func(a, b lag) int { return cmp.Compare(b.votes, a.votes) })
	f.lags = f.lags[:min(len(f.lags), mostLags)]
}
