package library

import (
	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// judge fills in what is said of each track against all that are present and
// not ignored. Released tracks are the references, a second file with the same
// content being none; tracks named by hand lead.
func judge(tracks []Track, opts standout.Options) {
	addCollectionFaults(tracks)
	pool := pooled(tracks)
	j := standout.New(pool, opts)
	next := 0
	for i := range tracks {
		t := &tracks[i]
		if !t.takesPart() {
			t.Judgement = unjudged()
			continue
		}
		t.Judgement = j.Judge(pool[next])
		next++
	}
}

// takesPart tells whether the track is judged and may be a reference.
func (t *Track) takesPart() bool { return !t.Marks.Ignore && !t.Missing() }

// pooled is what the judge is told of the tracks that take part, in their order.
func pooled(tracks []Track) []standout.Track {
	pool := make([]standout.Track, 0, len(tracks))
	seen := make(map[string]bool, len(tracks))
	for i := range tracks {
		t := &tracks[i]
		if !t.takesPart() {
			continue
		}
		s := standing(t)
		if len(t.content) > 0 {
			s.Reference = s.Reference && !seen[string(t.content)]
			seen[string(t.content)] = true
		}
		pool = append(pool, s)
	}
	return pool
}

// standing is what the judge is told of a track.
func standing(t *Track) standout.Track {
	s := standout.Of(t.ID, &t.Measurement, t.Tags.BPM)
	s.Reference = t.Status == Released
	s.Named = t.Marks.Reference
	return s
}

// unjudged is for a track that plays no part: no verdict, no figures.
func unjudged() standout.Judgement {
	return standout.Judgement{
		Reasons: []string{}, Notes: []string{}, Deviations: []standout.Deviation{}, MismatchDB: detect.None,
		Reference: standout.Group{LUFS: detect.None, BPM: detect.None, Stats: map[standout.Quantity]standout.Stat{}},
		Trim:      standout.Trim{TrimDB: detect.None, SafeDB: detect.None, LimitingDB: detect.None},
	}
}
