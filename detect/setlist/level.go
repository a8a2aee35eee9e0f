package setlist

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// mostTrim in tenths of a dB is as far as a trim goes either way.
const mostTrim = 10 * reason.MaxAdvice

// level finds one trim a track such that no step of level exceeds the audible limit, with the
// least change from the single trims. Tracks without a level part the set.
func level(tracks []Track, o Options) Levelling {
	l := Levelling{By: o.By, AskedLU: detect.Value(o.Limits.LevelLU), LimitLU: detect.Value(o.Limits.LevelLU), Kept: true,
		Trims: make([]detect.Value, len(tracks))}
	for i := range l.Trims {
		l.Trims[i] = detect.None
	}
	total, have := 0, 0
	for from := 0; from < len(tracks); {
		to := from
		for to < len(tracks) && hasLevel(&tracks[to], o.By) {
			to++
		}
		if to > from {
			total += l.part(tracks[from:to], from, o)
			have += to - from
		}
		from = max(to, from+1)
	}
	l.TotalDB = detect.Value(float64(total) / 10)
	l.Note = l.words(tracks, have).Sentence()
	return l
}

// words are the figures as the sentence about them takes them.
func (l *Levelling) words(all []Track, tracks int) reason.Levelled {
	said := reason.Levelled{Tracks: tracks, Changed: l.Changed, Total: float64(l.TotalDB), Asked: float64(l.AskedLU), Limit: float64(l.LimitLU), Kept: l.Kept}
	if c := l.Conflict; c != nil {
		said.From, said.To, said.Quiet = placeOf(all, c.From), placeOf(all, c.To), placeOf(all, c.Quiet)
		said.Steps = c.To - c.From
		said.Low, said.High, said.Short = float64(c.LowDB), float64(c.HighDB), float64(c.ShortLU)
	}
	return said
}

// hasLevel tells that a track can be levelled.
func hasLevel(t *Track, by By) bool {
	if by == ByEnds {
		return t.Start.LUFS.Exists() && t.End.LUFS.Exists()
	}
	return t.Loudest.LUFS.Exists()
}

// part levels tracks that have levels, the first at a place of the set, and tells by how many
// tenths the trims change in all.
func (l *Levelling) part(tracks []Track, first int, o Options) (total int) {
	limit := o.Limits.LevelLU
	c := chainOf(tracks, o, limit)
	trims, ok := c.solve()
	if !ok {
		l.Kept = false
		if l.Conflict == nil {
			l.Conflict = c.conflict(first)
		}
		limit = leastLimit(tracks, o)
		l.LimitLU = max(l.LimitLU, detect.Value(limit))
		c = chainOf(tracks, o, limit)
		trims, _ = c.solve()
	}
	for i, g := range trims {
		l.Trims[first+i] = detect.Value(float64(g) / 10)
		// A single trim that its bounds do not allow is changed too.
		if d := g - tenths(orNothing(tracks[i].TrimDB)); d != 0 {
			l.Changed++
			total += max(d, -d)
		}
	}
	return total
}

// farthest in tenths is more than any level lies from another: what is further off comes from
// no measurement, and sums are not to overflow.
const farthest = 1 << 40

func tenths(v detect.Value) int {
	return int(math.Round(max(-farthest, min(farthest, 10*float64(v)))))
}

// chainOf are the bounds of the trims for a limit in LU.
func chainOf(tracks []Track, o Options, limit float64) *chain {
	c := &chain{}
	for i := range tracks {
		t := &tracks[i]
		high := int(mostTrim)
		if o.Baked {
			high = room(t, o.CeilingDBTP)
		}
		c.low, c.high = append(c.low, -mostTrim), append(c.high, high)
		c.single = append(c.single, max(-mostTrim, min(high, tenths(orNothing(t.TrimDB)))))
		if i > 0 {
			step := 10 * stepBy(&tracks[i-1], t, o.By)
			step = max(-farthest, min(farthest, step))
			// 1e-6 of a tenth: a limit that is met exactly is kept.
			c.least = append(c.least, int(math.Ceil(-10*limit-step-1e-6)))
			c.most = append(c.most, int(math.Floor(10*limit-step+1e-6)))
		}
	}
	return c
}

// room in tenths is the most that can be baked into a file: up to the ceiling, but a file
// that is past it already may stay as it is.
func room(t *Track, ceiling float64) int {
	if !t.TruePeakDBTP.Exists() {
		return 0
	}
	headroom := math.Floor(10*(ceiling-float64(t.TruePeakDBTP)) + 1e-6)
	return int(max(0, min(mostTrim, headroom)))
}

// stepBy is the step of level, as the files are, between the parts that are levelled.
func stepBy(a, b *Track, by By) float64 {
	if by == ByEnds {
		return float64(b.Start.LUFS - a.End.LUFS)
	}
	return float64(b.Loudest.LUFS - a.Loudest.LUFS)
}

// leastLimit is the smallest limit, in steps of 0.1 LU, that trims can keep.
func leastLimit(tracks []Track, o Options) float64 {
	low, high := tenths(detect.Value(o.Limits.LevelLU)), 2*farthest // the first fails, the last does not
	for high-low > 1 {
		mid := low + (high-low)/2
		if _, _, ok, _ := chainOf(tracks, o, float64(mid)/10).reach(); ok {
			high = mid
		} else {
			low = mid
		}
	}
	return float64(high) / 10
}

// conflict says which two tracks keep the limit from being kept: the one whose trim cannot go
// further down, or up, and the one that it cannot meet.
func (c *chain) conflict(first int) *Conflict {
	low, high, _, by := c.reach()
	quiet := by
	from := by - 1
	// Which bound of the last cannot be met: its upper one by what the others must be at
	// least, or its lower one by what they can be at most.
	tooHigh := low[by] > c.high[by]
	for from > 0 && c.follows(from, low, high, tooHigh) {
		from--
	}
	if !tooHigh {
		quiet = from
	}
	loud := from + by - quiet
	return &Conflict{From: first + from, To: first + by, Quiet: first + quiet, ShortLU: detect.Value(float64(low[by]-high[by]) / 10),
		LowDB: detect.Value(float64(c.low[loud]) / 10), HighDB: detect.Value(float64(c.high[quiet]) / 10)}
}

// follows tells that what track i can reach comes from the one before it, not from its own bound.
func (c *chain) follows(i int, low, high []int, tooHigh bool) bool {
	if tooHigh {
		return low[i] > c.low[i]
	}
	return high[i] < c.high[i]
}

// placeOf is what the place of a track is called.
func placeOf(all []Track, at int) int {
	if p := all[at].Place; p > 0 {
		return p
	}
	return at + 1
}
