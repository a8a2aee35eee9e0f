package faults

import (
	"math"
	"slices"
	"strings"
)

const (
	// sameLength is the most that two lengths of the same audio differ, in seconds:
	// a codec's delay and padding come to under 0.15 s.
	sameLength = 0.25
	// sameMeans is the most that the means of the features differ, in dB; the
	// slope's, which a codec's band limit lowers, in sameSlope.
	sameMeans, sameSlope = 1.0, 4.0
	// sameMean is the most that the values of two fingerprints differ in the mean of
	// each feature, in dB; sameFar is the difference that only sameFarShare of
	// the values may reach.
	sameMean     = 0.6
	sameFar      = 3
	sameFarShare = 0.03
)

// print is a fingerprint, taken apart.
type print struct {
	length float64 // s
	means  [features - 1]float64
	values string
	fine   string
}

// parsePrint reads what fingerprint.text wrote.
func parsePrint(s string) (print, bool) {
	part := strings.Split(s, ".")
	if len(part) != 5 || part[0] != "2" || len(part[2]) != 2*(features-1) || len(part[3])%features != 0 || part[3] == "" || len(part[4])%fineSamples != 0 {
		return print{}, false
	}
	for _, p := range part[1:] {
		for i := range len(p) {
			if digit(p[i]) < 0 {
				return print{}, false
			}
		}
	}
	p := print{values: part[3], fine: part[4]}
	n := 0
	for i := range len(part[1]) {
		n = n<<6 | digit(part[1][i])
	}
	p.length = float64(n) / 10
	for k := range p.means {
		p.means[k] = printBalance * float64(digit(part[2][2*k])<<6|digit(part[2][2*k+1]))
	}
	return p, true
}

// digit is the value of a character of printAlphabet, -1 for another.
func digit(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'A' && c <= 'Z':
		return int(c-'A') + 10
	case c >= 'a' && c <= 'z':
		return int(c-'a') + 36
	case c == '-':
		return 62
	case c == '_':
		return 63
	}
	return -1
}

// same tells whether two fingerprints are of the same audio: in whatever format, at
// whatever level, but of the same length and the same mix.
func (p *print) same(q *print) bool {
	if math.Abs(p.length-q.length) > sameLength {
		return false
	}
	for k := range p.means {
		limit := sameMeans
		if k == len(p.means)-1 {
			limit = sameSlope
		}
		if math.Abs(p.means[k]-q.means[k]) > limit {
			return false
		}
	}
	n := min(len(p.values), len(q.values))
	if max(len(p.values), len(q.values))-n > features {
		return false
	}
	var sum [features]int
	far := 0
	for i := range n {
		d := digit(p.values[i]) - digit(q.values[i])
		if d < 0 {
			d = -d
		}
		sum[i%features] += d
		if d >= sameFar {
			if far++; float64(far) > sameFarShare*float64(n)+1 {
				return false
			}
		}
	}
	for _, s := range sum {
		if float64(s) > sameMean*float64(n/features) {
			return false
		}
	}
	return sameWave(p.fine, q.fine)
}

// Duplicates groups the fingerprints that are of the same audio. Each group has the
// indices of two or more, in order; the groups are in order of their first. Equal
// fingerprints count once, and of the others only those of like length that are not in
// one group yet are compared, so that 50,000 take a moment, and as many copies too.
func Duplicates(fingerprints []string) [][]int {
	type item struct {
		print
		index int
	}
	leader := leaders(make([]int, len(fingerprints)))
	var items []item
	first := make(map[string]int, len(fingerprints))
	for i, s := range fingerprints {
		leader[i] = i
		if at, known := first[s]; known {
			leader[i] = at
			continue
		}
		if p, ok := parsePrint(s); ok {
			first[s] = i
			items = append(items, item{p, i})
		}
	}
	slices.SortStableFunc(items, func(a, b item) int { return compareTimes(a.length, b.length) })
	for i := range items {
		for j := i + 1; j < len(items) && items[j].length-items[i].length <= sameLength; j++ {
			a, b := leader.of(items[i].index), leader.of(items[j].index)
			if a != b && items[i].same(&items[j].print) {
				leader[max(a, b)] = min(a, b)
			}
		}
	}
	return leader.groups()
}

// leaders are disjoint sets: each element leads to another of its set, the first to
// itself.
type leaders []int

// of is the first of the set that i is in.
func (l leaders) of(i int) int {
	for l[i] != i {
		l[i] = l[l[i]]
		i = l[i]
	}
	return i
}

// groups are the sets of two or more, in order.
func (l leaders) groups() (out [][]int) {
	sets := make(map[int][]int)
	for i := range l {
		f := l.of(i)
		sets[f] = append(sets[f], i)
	}
	for _, g := range sets {
		if len(g) > 1 {
			out = append(out, g)
		}
	}
	slices.SortFunc(out, func(a, b []int) int { return a[0] - b[0] })
	return out
}
