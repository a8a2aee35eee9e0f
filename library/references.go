package library

import "dubgauge/detect/standout"

// References returns the tracks that the track with this ID is held against, in
// the order of all, which must hold every track of the database that is
// present (TrackOptions.Root empty). Where fixed values serve, these are the few
// that there are.
func References(all []Track, id int64) []Track {
	pool := pooled(all)
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
	var out []Track
	for _, t := range all {
		if in[t.ID] {
			out = append(out, t)
		}
	}
	return out
}

// Pool is what the judge is told of the tracks that take part: those present and
// not ignored. all must hold every such track of the database.
func Pool(all []Track) []standout.Track { return pooled(all) }
