package judge

import "dubgauge/library/track"

// References returns the tracks among all that t is held against, in the order of
// all. Where fixed values serve, these are the few that there are.
func References(all []track.Track, t *track.Track) []track.Track {
	in := make(map[int64]bool, len(t.Members))
	for _, id := range t.Members {
		in[id] = true
	}
	var out []track.Track
	for i := range all {
		if in[all[i].ID] {
			out = append(out, all[i])
		}
	}
	return out
}
