package faults

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/cespare/xxhash/v2"
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

// digits are the values of characters of printAlphabet, -1 for others.
var digits = func() (d [256]int8) {
	for i := range d {
		d[i] = int8(strings.IndexByte(printAlphabet, byte(i)))
	}
	return d
}()

// digit is the value of a character of printAlphabet, -1 for another.
func digit(c byte) int { return int(digits[c]) }

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

// sketchValues is how many values a Sketch holds: enough that of two prints of
// different music more are far apart than sameFarShare allows a print of full length.
const sketchValues = 128

// Sketch is what tells most fingerprints apart without holding them: the head, the
// first values, and the hash (XXH64) by which equal ones are known. The zero Sketch is
// that of no fingerprint.
type Sketch struct {
	hash   uint64
	length float64 // s
	n      int32   // values of the print
	means  [features - 1]float32
	first  [sketchValues]byte // values as numbers
}

// NewSketch is the sketch of a fingerprint, the zero Sketch of what is none.
func NewSketch(fingerprint string) Sketch {
	p, ok := parsePrint(fingerprint)
	if !ok {
		return Sketch{}
	}
	s := Sketch{hash: xxhash.Sum64String(fingerprint), length: p.length, n: int32(len(p.values))}
	for k, m := range p.means {
		s.means[k] = float32(m) // exact: a multiple of printBalance
	}
	for i := range min(len(p.values), sketchValues) {
		s.first[i] = byte(digit(p.values[i]))
	}
	return s
}

// maybe tells whether the fingerprints of two sketches can be of the same audio: what
// same finds in the head and in the first values.
func (s *Sketch) maybe(t *Sketch) bool {
	for k := range s.means {
		limit := float32(sameMeans)
		if k == len(s.means)-1 {
			limit = sameSlope
		}
		if d := s.means[k] - t.means[k]; d > limit || d < -limit {
			return false
		}
	}
	n := min(s.n, t.n)
	if max(s.n, t.n)-n > features {
		return false
	}
	far, most := 0, int(sameFarShare*float64(n)+1)
	for i := range min(n, sketchValues) {
		if d := int(s.first[i]) - int(t.first[i]); d >= sameFar || d <= -sameFar {
			if far++; far > most {
				return false
			}
		}
	}
	return true
}

// Duplicates groups the fingerprints that are of the same audio. Each group has the
// indices of two or more, in order; the groups are in order of their first. Equal
// fingerprints count once, and of the others only those of like length that are not in
// one group yet are compared, so that 50,000 take a moment, and as many copies too.
func Duplicates(fingerprints []string) [][]int {
	sketches := make([]Sketch, len(fingerprints))
	for i, s := range fingerprints {
		sketches[i] = NewSketch(s)
	}
	return DuplicatesOf(len(sketches), func(i int) *Sketch { return &sketches[i] }, func(i int) string { return fingerprints[i] })
}

// DuplicatesOf is Duplicates of n fingerprints that are not held: by their sketches,
// and by the fingerprints themselves, asked for where sketches do not tell them apart.
func DuplicatesOf(n int, sketch func(i int) *Sketch, fingerprint func(i int) string) [][]int {
	leader := leaders(make([]int, n))
	var items []int
	first := make(map[uint64]int, n)
	for i := range n {
		leader[i] = i
		s := sketch(i)
		if s.n == 0 {
			continue
		}
		if at, known := first[s.hash]; known {
			leader[i] = at
			continue
		}
		first[s.hash] = i
		items = append(items, i)
	}
	slices.SortStableFunc(items, func(a, b int) int { return cmp.Compare(sketch(a).length, sketch(b).length) })
	for k, i := range items {
		a := sketch(i)
		var whole print
		for _, j := range items[k+1:] {
			b := sketch(j)
			if b.length-a.length > sameLength {
				break
			}
			x, y := leader.of(i), leader.of(j)
			if x == y || !a.maybe(b) {
				continue
			}
			if whole.values == "" {
				whole, _ = parsePrint(fingerprint(i))
			}
			if other, ok := parsePrint(fingerprint(j)); ok && whole.same(&other) {
				leader[max(x, y)] = min(x, y)
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
		if f := l.of(i); f != i { // the first leads
			if sets[f] == nil {
				sets[f] = []int{f}
			}
			sets[f] = append(sets[f], i)
		}
	}
	for _, g := range sets {
		out = append(out, g)
	}
	slices.SortFunc(out, func(a, b []int) int { return a[0] - b[0] })
	return out
}
