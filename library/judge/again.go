package judge

import (
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// Again is Judge of tracks that were judged before: was are the same ones in the same order, as
// they were then, with other marks or another status. What is held against the same references
// as then keeps its judgement.
func Again(was, tracks []track.Track, opts standout.Options) {
	c := NewCollection(len(tracks), opts)
	for i := range tracks {
		c.Add(&tracks[i])
	}
	c.Close(func(place int, _ int64) string { return tracks[place].Fingerprint })
	if among := c.judges[0].LooksAmong(); among != nil && slices.Equal(among, standout.New(poolOf(was), opts).LooksAmong()) {
		c.keeps = func(place int, t *track.Track) bool { return keeps(&was[place], t) }
	}
	c.Judge(0, tracks)
}

// poolOf are the tracks that may be references.
func poolOf(tracks []track.Track) []standout.Track {
	var refs references
	for i := range tracks {
		if t := &tracks[i]; t.TakesPart() && (t.Status == status.Released || t.Marks.Reference) {
			refs.add(t)
		}
	}
	return refs.pool
}

// keeps tells that the judgement of a track serves on where likeness is looked for among the
// same references: it was held against those that are like it, and nothing of its own is
// another.
func keeps(was, t *track.Track) bool {
	return was.Reference.Basis == reason.BasisLike && was.ID == t.ID && was.Marks == t.Marks && was.Status == t.Status &&
		was.TakesPart() && t.TakesPart() && slices.EqualFunc(was.Added(), t.Added(), sameFault)
}

// sameFault compares faults of a whole track.
func sameFault(a, b detect.Fault) bool { return a.Kind == b.Kind && a.Detail == b.Detail }
