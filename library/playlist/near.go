package playlist

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"dubgauge/library/track"
)

const (
	// mostNear is how many tracks of a name like it are given.
	mostNear = 3
	// mostPostings is how many tracks are counted for one name, those with its rarest
	// triples of characters first: 10,000 names are then looked up in seconds
	// whatever the library holds.
	mostPostings = 20_000
	// mostCompared is how many of them are compared character by character.
	mostCompared = 24
	// mostCounted is from how many triples on it makes no difference how many are shared.
	mostCounted = 255
	// mostCompareRunes is how much of a name is compared.
	mostCompareRunes = 120
	// unlike is the share of the longer name's characters from which two names are no
	// longer like one another.
	unlike = 0.45
)

// names finds names that are like one: by the triples of characters that they share, then
// by edit distance (Levenshtein 1966).
type names struct {
	tracks  []*track.Track
	said    [][2]string // of each track: the name of the file, and artist with title
	with    map[string][]int32
	counts  []uint16
	touched []int32
}

func newNames(tracks []*track.Track) *names {
	n := &names{tracks: tracks, said: make([][2]string, len(tracks)), with: map[string][]int32{}, counts: make([]uint16, len(tracks))}
	for i, t := range tracks {
		n.said[i] = [2]string{bare(stem(t.Path)), bare(t.Tags.Artist + " " + t.Tags.Title)}
		triples := map[string]bool{}
		for _, s := range n.said[i] {
			addTriples(triples, s)
		}
		for tri := range triples {
			n.with[tri] = append(n.with[tri], int32(i))
		}
	}
	return n
}

// addTriples adds the triples of characters of s, its ends marked.
func addTriples(all map[string]bool, s string) {
	if s == "" {
		return
	}
	r := []rune(" " + s + " ")
	for i := 0; i+3 <= len(r); i++ {
		all[string(r[i:i+3])] = true
	}
}

// nearest gives the tracks whose names are like that of an entry.
func (n *names) nearest(e Entry) []Near {
	said := []string{bare(stem(e.Path)), bare(e.Artist + " " + e.Title)}
	if e.Path == "" || remote(e.Path) {
		said[0] = ""
	}
	var all []Near
	for _, i := range n.candidates(said) {
		edits := math.MaxInt
		for _, a := range said {
			for _, b := range n.said[i] {
				if d, like := distance(a, b); like {
					edits = min(edits, d)
				}
			}
		}
		if edits < math.MaxInt {
			all = append(all, Near{n.tracks[i], edits})
		}
	}
	slices.SortStableFunc(all, func(a, b Near) int {
		return cmp.Or(cmp.Compare(a.Edits, b.Edits), strings.Compare(a.Track.Path, b.Track.Path))
	})
	return all[:min(len(all), mostNear)]
}

// candidates are the tracks that share the most triples with the names, those of the rarest
// triples counted first.
func (n *names) candidates(said []string) []int32 {
	triples := map[string]bool{}
	for _, s := range said {
		addTriples(triples, s)
	}
	known := slices.DeleteFunc(slices.Collect(maps.Keys(triples)), func(tri string) bool { return n.with[tri] == nil })
	slices.SortFunc(known, func(a, b string) int {
		return cmp.Or(cmp.Compare(len(n.with[a]), len(n.with[b])), strings.Compare(a, b))
	})
	left := mostPostings
	for _, tri := range known {
		if left -= len(n.with[tri]); left < 0 {
			break
		}
		for _, i := range n.with[tri] {
			if n.counts[i] == 0 {
				n.touched = append(n.touched, i)
			}
			n.counts[i]++
		}
	}
	return n.most()
}

// most takes the counts back and gives the tracks with the highest, of equal ones the first.
func (n *names) most() []int32 {
	var with [mostCounted + 1]int // how many tracks have a count
	for _, i := range n.touched {
		n.counts[i] = min(n.counts[i], mostCounted)
		with[n.counts[i]]++
	}
	least, room := mostCounted, mostCompared
	for ; least > 1 && room > with[least]; least-- {
		room -= with[least]
	}
	var best []int32
	for _, i := range n.touched {
		if c := int(n.counts[i]); c > least || c == least && room > 0 {
			best = append(best, i)
			if c == least {
				room--
			}
		}
		n.counts[i] = 0
	}
	n.touched = n.touched[:0]
	return best
}

// distance is how many characters must be put in, taken out or changed to make a of b;
// like is false where that is nearly all of them.
func distance(a, b string) (edits int, like bool) {
	if a == "" || b == "" {
		return 0, false
	}
	s, t := []rune(a), []rune(b)
	s, t = s[:min(len(s), mostCompareRunes)], t[:min(len(t), mostCompareRunes)]
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i, r := range s {
		before := row[0]
		row[0] = i + 1
		for j, q := range t {
			change := before
			if r != q {
				change++
			}
			before = row[j+1]
			row[j+1] = min(change, row[j]+1, before+1)
		}
	}
	edits = row[len(t)]
	return edits, float64(edits) <= unlike*float64(max(len(s), len(t)))
}
