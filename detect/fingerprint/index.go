package fingerprint

import "slices"

const (
	// bucketBits makes 4 MB of buckets; a million sub-prints fill each with one.
	bucketBits = 20
	// spread is an odd number by which sub-prints, which are anything but even, are spread
	// over the buckets: 2^24 divided by the golden ratio (D. Knuth, The Art of Computer
	// Programming, volume 3, 6.4).
	spread = 10368889
	// placeBits are for the place in a print, printBits for its number.
	placeBits, printBits = 20, 20
	// common is from how many places on a sub-print tells nothing.
	common = 256
)

// Index finds the places of prints where a sub-print stands. It is read by any number
// of Finders at once.
type Index struct {
	prints []Print
	heards []int    // of each print
	starts []uint32 // of each bucket, in places
	places []uint64 // sub-print, print, place in it; bucket by bucket
}

// MostPrints is how many an Index takes.
const MostPrints = 1 << printBits

// NewIndex keeps the prints, MostPrints at most; it takes 8 bytes a sub-print and 4 MB.
func NewIndex(prints []Print) *Index {
	x := &Index{prints: prints, starts: make([]uint32, 1<<bucketBits+1)}
	for _, p := range prints {
		x.heards = append(x.heards, p.heard())
	}
	x.each(func(v uint32, _ uint64) { x.starts[bucket(v)+1]++ })
	for i := range 1 << bucketBits {
		x.starts[i+1] += x.starts[i]
	}
	x.places = make([]uint64, x.starts[1<<bucketBits])
	next := slices.Clone(x.starts)
	x.each(func(v uint32, place uint64) {
		x.places[next[bucket(v)]] = place
		next[bucket(v)]++
	})
	return x
}

// each calls f with every sub-print that says something, and its place.
func (x *Index) each(f func(v uint32, place uint64)) {
	for i, p := range x.prints {
		for at, v := range p {
			if v != 0 {
				f(v, uint64(v)<<(printBits+placeBits)|uint64(i)<<placeBits|uint64(at))
			}
		}
	}
}

func bucket(v uint32) uint32 { return v * spread & (1<<bitsPrint - 1) >> (bitsPrint - bucketBits) }

// votes appends, in no order, a vote for each place where a sub-print of p stands: the number of the
// print, and how much later it stands there.
func (x *Index) votes(votes []uint64, p Print) []uint64 {
	for at, v := range p {
		if v == 0 {
			continue
		}
		from := len(votes)
		for _, place := range x.places[x.starts[bucket(v)]:x.starts[bucket(v)+1]] {
			if uint32(place>>(printBits+placeBits)) == v {
				later := place&(1<<placeBits-1) + 1<<placeBits - uint64(at)
				votes = append(votes, place>>placeBits&(1<<printBits-1)<<(placeBits+1)|later)
			}
		}
		if len(votes)-from > common {
			votes = votes[:from]
		}
	}
	return votes
}
