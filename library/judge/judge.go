// Package judge holds the tracks of a whole library against each other: what is
// wrong with one only beside others, and the verdicts.
package judge

import (
	"runtime"
	"sync"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// Judge fills in what is said of each track against all that are present and
// not ignored. Released tracks are the references, a second file with the same
// content being none; tracks named by hand replace all others.
func Judge(tracks []track.Track, opts standout.Options) {
	addCollectionFaults(tracks)
	pool := Pool(tracks)
	in := make([]*track.Track, 0, len(pool)) // as they are in the pool
	for i := range tracks {
		if t := &tracks[i]; t.TakesPart() {
			in = append(in, t)
		} else {
			t.Judgement = unjudged()
		}
	}
	j := standout.New(pool, opts)
	if len(in) < manyTracks {
		judgeThese(j, in, pool)
		return
	}
	var work sync.WaitGroup
	n := runtime.GOMAXPROCS(0)
	for k := range n {
		from, to := k*len(in)/n, (k+1)*len(in)/n
		work.Go(func() { judgeThese(j.Another(), in[from:to], pool[from:to]) })
	}
	work.Wait()
}

// manyTracks are worth the work of several cores.
const manyTracks = 4000

func judgeThese(j *standout.Judge, in []*track.Track, pool []standout.Track) {
	for i, t := range in {
		t.Judgement = j.Judge(pool[i])
	}
}

// Alone judges a track by nothing but itself: one that turned out not to be readable
// after the others were judged.
func Alone(t *track.Track) {
	if t.TakesPart() {
		t.Judgement = standout.New(nil, standout.Options{}).Judge(standing(t))
	}
}

// Pool is what the verdicts come from: the tracks that take part, those present
// and not ignored, in their order. A record of which there are copies is a reference
// once. tracks must hold every such track of the database.
func Pool(tracks []track.Track) []standout.Track {
	pool := make([]standout.Track, 0, len(tracks))
	seen, named := make(map[string]bool, len(tracks)), map[string]bool{}
	for i := range tracks {
		t := &tracks[i]
		if !t.TakesPart() {
			continue
		}
		s := standing(t)
		if same := t.SameFile(); same != "" {
			s.Reference = s.Reference && !seen[same]
			s.Named = s.Named && !named[same]
			seen[same] = seen[same] || s.Reference
			named[same] = named[same] || s.Named
		}
		pool = append(pool, s)
	}
	return pool
}

// standing is what the judge is told of a track.
func standing(t *track.Track) standout.Track {
	s := standout.Of(t.ID, &t.Measurement, t.Tags.BPM)
	s.Reference = t.Status == status.Released
	s.Named = t.Marks.Reference
	return s
}

// unjudged is for a track that plays no part: no verdict, no figures.
func unjudged() standout.Judgement {
	return standout.Judgement{
		Reasons: []string{}, Notes: []string{}, Deviations: []standout.Deviation{}, Tone: []standout.Move{}, MismatchDB: detect.None, Past: detect.None,
		Reference: standout.Group{LUFS: detect.None, BPM: detect.None, Stats: map[standout.Quantity]standout.Stat{}},
		Trim:      standout.NoTrim,
	}
}
