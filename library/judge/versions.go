package judge

import (
	"cmp"
	"slices"
	"time"

	"dubgauge/detect"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// Shared says which tracks hold the same music.
type Shared struct {
	Of      map[int64]int64 // the print of a track, by its number
	Matches []Match         // of prints
}

// Match is two prints of the same music.
type Match struct {
	A, B    int64
	Seconds float64
}

// Versions fills in the versions of the tracks that take part, on each stick for itself:
// a copy on another is what a careful DJ has.
func Versions(tracks []*track.Track, p Shared) {
	byRoot := map[string][]*track.Track{}
	for _, t := range tracks {
		if _, printed := p.Of[t.ID]; printed && t.TakesPart() {
			byRoot[t.Root] = append(byRoot[t.Root], t)
		}
	}
	for _, there := range byRoot {
		newTunes(there, p).tell()
	}
}

// tune is the tracks of the same audio: by their print, or as Twin says.
type tune struct {
	tracks []*track.Track
	shared map[int]float64 // seconds of the same music, by the number of the other
	group  int
}

type tunes []*tune

// newTunes gathers the tracks of a stick.
func newTunes(tracks []*track.Track, p Shared) tunes {
	var all tunes
	byPrint, byTwin := map[int64]int{}, map[int64]int{}
	for _, t := range tracks {
		n, known := byPrint[p.Of[t.ID]]
		if !known && t.Twin != 0 {
			n, known = byTwin[t.Twin]
		}
		if !known {
			n = len(all)
			all = append(all, &tune{shared: map[int]float64{}, group: n})
		}
		byPrint[p.Of[t.ID]] = n
		if t.Twin != 0 {
			byTwin[t.Twin] = n
		}
		all[n].tracks = append(all[n].tracks, t)
	}
	for _, m := range p.Matches {
		a, knownA := byPrint[m.A]
		b, knownB := byPrint[m.B]
		if knownA && knownB && a != b {
			all[a].shared[b] = max(all[a].shared[b], m.Seconds)
			all[b].shared[a] = all[a].shared[b]
		}
	}
	all.join()
	return all
}

// join puts tunes that share music into one group: those first that share the most, and
// two groups only where more than half of the pairs between them do, so that a mash-up
// does not make one of the two tunes that it is made of.
func (all tunes) join() {
	type pair struct {
		a, b    int
		seconds float64
	}
	var pairs []pair
	members := make([][]int, len(all))
	for a, t := range all {
		members[a] = []int{a}
		for b, s := range t.shared {
			if a < b {
				pairs = append(pairs, pair{a, b, s})
			}
		}
	}
	slices.SortFunc(pairs, func(x, y pair) int {
		return cmp.Or(cmp.Compare(y.seconds, x.seconds), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	for again := true; again; {
		again = false
		for _, p := range pairs {
			g, h := all[p.a].group, all[p.b].group
			if g == h || 2*all.between(members[g], members[h]) <= len(members[g])*len(members[h]) {
				continue
			}
			for _, i := range members[h] {
				all[i].group = g
			}
			members[g], members[h] = append(members[g], members[h]...), nil
			again = true
		}
	}
}

// between counts the pairs of two groups that share music.
func (all tunes) between(g, h []int) (n int) {
	for _, a := range g {
		for _, b := range h {
			if _, share := all[a].shared[b]; share {
				n++
			}
		}
	}
	return n
}

// tell fills in what is known of each track.
func (all tunes) tell() {
	groups := map[int][]*tune{}
	for _, t := range all {
		groups[t.group] = append(groups[t.group], t)
	}
	for n, t := range all {
		others := all.others(n)
		if len(others) == 0 {
			continue
		}
		best := nearest(groups[t.group])
		for _, x := range t.tracks {
			v := &track.Versions{Tracks: others, Older: older(x, groups[t.group])}
			if best != nil {
				v.Nearest, v.NearestPath = best.ID, best.Path
			}
			x.Versions = v
		}
	}
}

// mostVersions are listed of one track.
const mostVersions = 50

// others lists what holds the same music as tune n, each once.
func (all tunes) others(n int) []track.Version {
	var list []track.Version
	for i, t := range all {
		s, shared := all[n].shared[i]
		if i == n || (t.group != all[n].group && !shared) {
			continue
		}
		first := t.tracks[0]
		v := track.Version{
			ID: first.ID, Path: first.Path, Released: first.Status == status.Released,
			Seconds: detect.None, Part: t.group != all[n].group,
		}
		if shared {
			v.Seconds = detect.Value(s)
		}
		list = append(list, v)
	}
	slices.SortStableFunc(list, func(a, b track.Version) int { return cmp.Compare(a.Path, b.Path) })
	return list[:min(len(list), mostVersions)]
}

// unreleased are the tracks of a group that are still in the making.
func unreleased(group []*tune) (in []*track.Track) {
	for _, t := range group {
		for _, x := range t.tracks {
			if x.Status != status.Released {
				in = append(in, x)
			}
		}
	}
	return in
}

// older names the newest of the group that is newer than t; nil where t is, or nothing
// says so.
func older(t *track.Track, group []*tune) *track.Older {
	var newest *track.Track
	for _, o := range unreleased(group) {
		if newerBy(o, t) != "" && (newest == nil || newerBy(o, newest) != "") {
			newest = o
		}
	}
	if newest == nil || t.Status == status.Released {
		return nil
	}
	return &track.Older{Than: newest.ID, ThanPath: newest.Path, By: newerBy(newest, t)}
}

// newerBy tells by what o is newer than t: by a name that says so, or by the time of the
// file where no name contradicts it. It is empty where o is not.
func newerBy(o, t *track.Track) track.OlderBy {
	said := status.EditionOf(o.Path, &o.Tags).Compare(status.EditionOf(t.Path, &t.Tags))
	later := !t.ModTime.IsZero() && !o.ModTime.IsZero() && o.ModTime.Sub(t.ModTime) > sameTime
	switch {
	case said > 0 && later:
		return track.OlderByBoth
	case said > 0:
		return track.OlderByName
	case said == 0 && later:
		return track.OlderByTime
	}
	return ""
}

// sameTime is how far the times of files may lie apart that were copied together: a stick
// writes them down to 2 s (FAT), and a copy of a folder takes minutes.
const sameTime = 10 * time.Minute
