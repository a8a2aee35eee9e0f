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
	ByLow      SortKey = "low"      // low end furthest from the group's first
	BySub      SortKey = "sub"      // sub furthest from the group's first
	ByName     SortKey = "name"     // as Name gives it, without regard to case
	ByTempo    SortKey = "tempo"    // slowest first
)

// SortHelp names the orders for a help text.
const SortHelp = "`ORDER`: verdict (worst first), mismatch (level alone), low, sub, name or tempo"

// SortKeys lists every key, in the order in which help texts show them.
func SortKeys() []SortKey {
	return []SortKey{ByVerdict, ByMismatch, ByLow, BySub, ByName, ByTempo}
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
	from := make([]int, len(tracks))
	for i := range from {
		from[i] = i
	}
	slices.SortStableFunc(from, func(a, b int) int { return order(&tracks[a], &tracks[b], key) })
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
	for i := range tracks {
		all[i] = &tracks[i]
	}
	slices.SortStableFunc(all, func(a, b *library.Track) int { return order(a, b, key) })
	return all
}

// Sorted is Order without the tracks that are to be ignored.
func Sorted(tracks []library.Track, key SortKey) []*library.Track {
	return slices.DeleteFunc(Order(tracks, key), func(t *library.Track) bool { return t.Marks.Ignore })
}

// order compares by key, then by path.
func order(a, b *library.Track, key SortKey) int {
	return cmp.Or(ranked(a, b, key), cmp.Compare(a.Path, b.Path), cmp.Compare(a.ID, b.ID))
}

func ranked(a, b *library.Track, key SortKey) int {
	switch key {
	case ByMismatch:
		return largest(a.MismatchDB, b.MismatchDB)
	case ByLow:
		return largest(Deviation(a, standout.LowEnd).DB, Deviation(b, standout.LowEnd).DB)
	case BySub:
		return largest(Deviation(a, standout.Sub).DB, Deviation(b, standout.Sub).DB)
	case ByName:
		return cmp.Compare(strings.ToLower(Name(a)), strings.ToLower(Name(b)))
	case ByTempo:
		return Smallest(Tempo(a), Tempo(b))
	case ByVerdict:
		return cmp.Or(cmp.Compare(rank(a.Verdict), rank(b.Verdict)), largest(a.Past, b.Past), largest(a.MismatchDB, b.MismatchDB))
	}
	return 0
}

// largest orders by size without sign, the largest first.
func largest(a, b detect.Value) int {
	return Smallest(-absolute(a), -absolute(b))
}

func absolute(v detect.Value) detect.Value { return detect.Value(math.Abs(float64(v))) }

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
