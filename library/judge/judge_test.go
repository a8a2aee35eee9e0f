package judge

import (
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/standout"
	"dubgauge/library/madeup"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// TestManyTracksAreJudgedAsFew: on several cores every track gets what one judge says of
// it, and tracks that take no part get nothing.
func TestManyTracksAreJudgedAsFew(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	tracks := make([]track.Track, manyTracks+50)
	for i := range tracks {
		tracks[i] = track.Track{ID: int64(i + 1), Record: madeup.Record(rng, i), Status: status.Released}
		tracks[i].Marks.Ignore = i%40 == 7
	}
	Judge(tracks, standout.Options{})
	pool := Pool(tracks)
	one := standout.New(pool, standout.Options{})
	next := 0
	for i := range tracks {
		got := &tracks[i].Judgement
		if tracks[i].Marks.Ignore {
			if got.Verdict != "" || len(got.Reasons) > 0 {
				t.Errorf("an ignored track is %s, %q", got.Verdict, got.Reasons)
			}
			continue
		}
		next++
		if testing.Short() && i%10 > 0 {
			continue // all were judged, at once; each is held against its own in the long run
		}
		want := one.Judge(pool[next-1])
		if got.Verdict != want.Verdict || !slices.Equal(got.Notes, want.Notes) || !slices.Equal(got.Members, want.Members) {
			t.Fatalf("track %d: %s %q, want %s %q", i, got.Verdict, got.Notes, want.Verdict, want.Notes)
		}
	}
}
