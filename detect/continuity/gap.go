package continuity

const (
	// tiny is the magnitude that samples in a gap stay under, -74 dBFS: above the
	// dither of 16 bit and what decoders leave of silence, below all music that plays.
	tiny = 2e-4
	// gapSeconds is the shortest gap, 1 ms: the sound is longer under tiny only where it
	// is far under soundDB anyway.
	gapSeconds = 0.001
	// probe is the distance of the samples that are looked at, in samples: a
	// power of two that is less than gapSeconds at all usual rates.
	probe = 32
	// maxGaps bounds the list of a channel. A track with more has gates or raw waves
	// all over.
	maxGaps = 2048
)

// gap is a stretch of silence in one channel with sound at level on at least one
// side.
type gap struct {
	start, end    int64 // samples; end is -1 while it lasts
	before, after edge
	zeros         bool    // nothing but digital zeros
	channels      int     // a bit each
	level         float64 // mean square of what fills it, where that is more than silence
	held          bool    // it is filled with one sample
}

// gaps finds the gaps of one channel.
type gaps struct {
	rate  float64
	short int
	open  bool
	gap   gap
	found []gap
	first gap // that the track begins with, if any; its end is 0 if none
	last  gap // that it ends with, if any; its start is -1 if none
	// The sound at the very start and end of the track.
	head, tail edge
	more       bool
}

func newGaps(rate float64) gaps {
	return gaps{rate: rate, short: max(2, int(gapSeconds*rate)), last: gap{start: -1}}
}

// look goes through the places from to to of the view. At the end of the track an
// open gap is kept as last.
func (g *gaps) look(v view, from, to int, end bool) {
	if from == 0 && v.base == 0 && to > 0 {
		g.head = v.after(0, g.rate)
		if quiet(v.x[0]) {
			g.open, g.gap = true, gap{end: -1, zeros: true}
		}
	}
	for i := from; i < to; {
		if g.open {
			if i = g.through(v.x[:to], i); i < to {
				g.close(v, i)
			}
			continue
		}
		// Places that are multiples of probe in the track.
		if r := (v.base + int64(i)) % probe; r != 0 {
			i += probe - int(r)
			continue
		}
		if !quiet(v.x[i]) {
			i += probe
			continue
		}
		i = g.begin(v, i)
	}
	if end {
		g.tail = v.before(len(v.x), g.rate)
		if g.open {
			g.last, g.open = g.gap, false
		}
	}
}

func quiet(x float32) bool { return x < tiny && x > -tiny }

// begin looks at a quiet sample in place i and returns where to go on.
func (g *gaps) begin(v view, i int) int {
	s := i
	for s > 0 && quiet(v.x[s-1]) {
		s--
	}
	e := i + 1
	for e < len(v.x) && e-s < g.short && quiet(v.x[e]) {
		e++
	}
	if e-s < g.short && e < len(v.x) {
		return e + 1
	}
	g.open = true
	g.gap = gap{start: v.base + int64(s), end: -1, zeros: true, before: v.before(s, g.rate)}
	for _, x := range v.x[s:i] {
		g.gap.zeros = g.gap.zeros && x == 0
	}
	return i
}

// through follows an open gap to its end, or to that of x.
func (g *gaps) through(x []float32, i int) int {
	for i < len(x) && quiet(x[i]) {
		if x[i] != 0 {
			g.gap.zeros = false
		}
		i++
	}
	return i
}

// close ends the gap before place i and keeps it if there is sound beside it.
func (g *gaps) close(v view, i int) {
	g.open = false
	g.gap.end = v.base + int64(i)
	g.gap.after = v.after(i, g.rate)
	if g.gap.start == 0 {
		g.first = g.gap
		return
	}
	if g.gap.end-g.gap.start < int64(g.short) || !g.gap.before.sounds() && !g.gap.after.sounds() {
		return
	}
	if len(g.found) == maxGaps {
		g.more = true
		return
	}
	g.found = append(g.found, g.gap)
}
