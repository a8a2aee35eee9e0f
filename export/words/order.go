package words

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// SortKey names an order of tracks. Ties are broken by path, so that every
// order is the same each time.
type SortKey string

// The orders. Tracks without the figure that is sorted by come last.
const (
	ByVerdict  SortKey = "verdict"  // worst first: by verdict, then by how far past the cut-off
	ByMismatch SortKey = "mismatch" // level alone, furthest from the group's first, quiet or loud
	ByQuiet    SortKey = "quiet"    // level alone, the quietest beside its group first
	ByLoud     SortKey = "loud"     // level alone, the loudest first
	ByLow      SortKey = "low"      // low end furthest from the group's first
	BySub      SortKey = "sub"      // sub furthest from the group's first
	ByName     SortKey = "name"     // as Name gives it, without regard to case
	ByTempo    SortKey = "tempo"    // slowest first
)

// SortHelp names the orders for a help text.
const SortHelp = "`ORDER`: verdict (worst first), mismatch (level alone), quiet or loud (first), low, sub, name or tempo"

// SortKeys lists every key, in the order in which help texts show them.
func SortKeys() []SortKey {
	return []SortKey{ByVerdict, ByMismatch, ByQuiet, ByLoud, ByLow, BySub, ByName, ByTempo}
}

// ParseSortKey finds the key of that name.
func ParseSortKey(s string) (SortKey, error) {
	if k := SortKey(s); slices.Contains(SortKeys(), k) {
		return k, nil
	}
	names := make([]string, 0, len(SortKeys()))
	for _, k := range SortKeys() {
		names = append(names, string(k))
	}
	return "", fmt.Errorf("cannot sort by %q: choose one of %s", s, strings.Join(names, ", "))
}

// Sort puts tracks in the order of key, in place. An unknown key sorts by path.
func Sort(tracks []library.Track, key SortKey) {
	from := sorted(tracks, key)
	// Each ring of tracks that change places is moved on by one, with one held aside.
	for start := range from {
		if from[start] == start {
			continue
		}
		aside := tracks[start]
		at := start
		for from[at] != start {
			tracks[at] = tracks[from[at]]
			at, from[at] = from[at], at
		}
		tracks[at], from[at] = aside, at
	}
}

// Order gives the tracks in the order of key. tracks is left as it is.
func Order(tracks []library.Track, key SortKey) []*library.Track {
	all := make([]*library.Track, len(tracks))
	for i, from := range sorted(tracks, key) {
		all[i] = &tracks[from]
	}
	return all
}

// sorted lists the indices of tracks in the order of key.
func sorted(tracks []library.Track, key SortKey) []int {
	ranks, from := make([]Rank, len(tracks)), make([]int, len(tracks))
	for i := range tracks {
		ranks[i], from[i] = key.Rank(&tracks[i]), i
	}
	slices.SortFunc(from, func(a, b int) int { return cmp.Or(ranks[a].Compare(&ranks[b]), a-b) })
	return from
}

// Sorted is Order without the tracks that are to be ignored.
func Sorted(tracks []library.Track, key SortKey) []*library.Track {
	return slices.DeleteFunc(Order(tracks, key), func(t *library.Track) bool { return t.Marks.Ignore })
}

// Rank is where a track stands in an order.
type Rank struct {
	verdict       int
	first, second detect.Value // what does not exist comes last
	name, path    string
	id            int64
}

// Compare is below zero where r comes before s.
func (r *Rank) Compare(s *Rank) int {
	if c := cmp.Or(r.verdict-s.verdict, Smallest(r.first, s.first), Smallest(r.second, s.second)); c != 0 {
		return c
	}
	return cmp.Or(cmp.Compare(r.name, s.name), cmp.Compare(r.path, s.path), cmp.Compare(r.id, s.id))
}

// Rank is where t stands in the order of key.
func (key SortKey) Rank(t *library.Track) Rank {
	r := Rank{path: t.Path, id: t.ID}
	switch key {
	case ByMismatch:
		r.first = largest(t.MismatchDB)
	case ByQuiet:
		r.first = t.MismatchDB
	case ByLoud:
		r.first = -t.MismatchDB
	case ByLow:
		r.first = largest(Deviation(t, standout.LowEnd).DB)
	case BySub:
		r.first = largest(Deviation(t, standout.Sub).DB)
	case ByName:
		r.name = strings.ToLower(Name(t))
	case ByTempo:
		r.first = Tempo(t)
	case ByVerdict:
		r.verdict, r.first, r.second = rank(t.Verdict), largest(t.Past), largest(t.MismatchDB)
	}
	return r
}

// largest orders by size without sign, the largest first.
func largest(v detect.Value) detect.Value { return detect.Value(-math.Abs(float64(v))) }

// Smallest orders by value, what does not exist last.
func Smallest(a, b detect.Value) int {
	switch {
	case a.Exists() && b.Exists():
		return cmp.Compare(a, b)
	case a.Exists():
		return -1
	case b.Exists():
		return 1
	}
	return 0
}

// rank counts the verdicts from the worst: unreadable, hold back, check, ready.
func rank(v standout.Verdict) int {
	switch v {
	case standout.Unreadable:
		return 0
	case standout.HoldBack:
		return 1
	case standout.Check:
		return 2
	}
	return 3
}
