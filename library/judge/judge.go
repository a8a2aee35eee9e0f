// Package judge holds the tracks of a whole library against each other: what is
// wrong with one only beside others, and the verdicts.
package judge

import (
	"runtime"
	"slices"
	"sync"

	"github.com/cespare/xxhash/v2"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// Judge fills in what is said of each track against all that are present and
// not ignored. Released tracks are the references, a second file with the same
// content being none; tracks named by hand replace all others.
func Judge(tracks []track.Track, opts standout.Options) {
	c := NewCollection(len(tracks), opts)
	for i := range tracks {
		c.Add(&tracks[i])
	}
	c.Close(func(place int, _ int64) string { return tracks[place].Fingerprint })
	c.Judge(0, tracks)
}

// Collection is a library whose tracks are held against each other without being held in
// memory: each is given to Add once, in their order, and after Close again to be judged.
type Collection struct {
	opts   standout.Options
	tracks int        // that were added
	refs   references // that may be
	in     []beside   // that take part; nil after Close
	sticks map[string]int
	faults besideFaults
	judges []*standout.Judge                    // one a core
	keeps  func(place int, t *track.Track) bool // tells whose judgement stays; nil for nobody's
}

// Prints gives the fingerprint of the track at a place, with that number.
type Prints func(place int, id int64) string

// NewCollection is for so many tracks.
func NewCollection(tracks int, opts standout.Options) *Collection {
	return &Collection{opts: opts, in: make([]beside, 0, tracks), sticks: map[string]int{},
		faults: besideFaults{map[int]detect.Fault{}, map[int]detect.Fault{}, map[int]int64{}}}
}

// Add takes what the others will be held against of a track. The track is left as it is.
func (c *Collection) Add(t *track.Track) {
	place := c.tracks
	c.tracks++
	if !t.TakesPart() {
		return
	}
	stick, known := c.sticks[t.Root]
	if !known {
		stick = len(c.sticks)
		c.sticks[t.Root] = stick
	}
	c.in = append(c.in, besideOf(place, stick, t))
	c.refs.add(t)
}

// Close holds the tracks against each other.
func (c *Collection) Close(print Prints) {
	slices.SortStableFunc(c.in, func(a, b beside) int { return a.stick - b.stick })
	for from, behind := 0, 0; from < len(c.in); from = behind {
		for behind < len(c.in) && c.in[behind].stick == c.in[from].stick {
			behind++
		}
		c.faults.addClashes(c.in[from:behind])
		c.faults.addDoubles(c.in[from:behind], print)
	}
	c.in = nil
	c.judges = []*standout.Judge{standout.New(c.refs.pool, c.opts)}
	if c.tracks >= manyTracks {
		for range runtime.GOMAXPROCS(0) - 1 {
			c.judges = append(c.judges, c.judges[0].Another())
		}
	}
}

// manyTracks are worth the work of several cores.
const manyTracks = 4000

// Judge fills in what is said of tracks, which follow each other from a place on.
func (c *Collection) Judge(from int, tracks []track.Track) {
	var work sync.WaitGroup
	n := len(c.judges)
	for k, j := range c.judges {
		first, behind := k*len(tracks)/n, (k+1)*len(tracks)/n
		work.Go(func() {
			for i := first; i < behind; i++ {
				c.judge(j, from+i, &tracks[i])
			}
		})
	}
	work.Wait()
}

func (c *Collection) judge(j *standout.Judge, place int, t *track.Track) {
	if !t.TakesPart() {
		t.Judgement = unjudged()
		return
	}
	c.faults.add(place, t)
	if c.keeps == nil || !c.keeps(place, t) {
		t.Judgement = j.Judge(standing(t))
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
	these := make([]*track.Track, len(tracks))
	for i := range tracks {
		these[i] = &tracks[i]
	}
	return PoolOf(these)
}

// PoolOf is Pool of tracks that lie elsewhere.
func PoolOf(tracks []*track.Track) []standout.Track {
	var refs references
	pool := make([]standout.Track, 0, len(tracks))
	for _, t := range tracks {
		if t.TakesPart() {
			pool = append(pool, refs.standing(t))
		}
	}
	return pool
}

// references are the tracks that may be, and the files, by the hash of track.SameFile, of
// which one is a reference, and a named one.
type references struct {
	pool        []standout.Track
	seen, named map[uint64]bool
}

// add takes a track that may be a reference.
func (r *references) add(t *track.Track) {
	if s := r.standing(t); s.Reference || s.Named {
		s.Faults = nil // a reference needs none
		r.pool = append(r.pool, s)
	}
}

// standing is what the judge is told of a track among others: of copies the first is a
// reference.
func (r *references) standing(t *track.Track) standout.Track {
	s := standing(t)
	same := t.SameFile()
	if same == "" || !(s.Reference || s.Named) {
		return s
	}
	if r.seen == nil {
		r.seen, r.named = map[uint64]bool{}, map[uint64]bool{}
	}
	key := xxhash.Sum64String(same)
	s.Reference = s.Reference && !r.seen[key]
	s.Named = s.Named && !r.named[key]
	if s.Reference {
		r.seen[key] = true
	}
	if s.Named {
		r.named[key] = true
	}
	return s
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
