package judge

import (
	"dubgauge/detect/standout"
	"dubgauge/library/track"
)

// References returns the tracks that the track with this ID is held against, in
// the order of all, which must hold every track of the database that is
// present. Where fixed values serve, these are the few
// that there are.
func References(all []track.Track, id int64) []track.Track {
	pool := Pool(all)
	var group []int64
	for _, s := range pool {
		if s.ID == id {
			group = standout.New(pool, standout.Options{}).Group(s)
		}
	}
	in := make(map[int64]bool, len(group))
	for _, id := range group {
		in[id] = true
	}
	var out []track.Track
	for _, t := range all {
		if in[t.ID] {
			out = append(out, t)
		}
	}
	return out
}
