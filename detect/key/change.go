package key

import "math"

// Change is a place where the music goes over to another key.
type Change struct {
	AtS      float64 // seconds from the start, to a segment of 4.5 s
	From, To Key
}

const (
	// leastHeld is for how many seconds a key must be held on either side of a change:
	// 8 bars at 96 BPM. What is shorter is a chord or a bridge. Common practice, no source.
	leastHeld = 20
	// leastGain is by how much two keys must explain the segments better than one, in
	// natural logarithms of odds: four segments that are as clear as leastLog lets them be. Of
	// 24 tracks in one key none is said to change.
	leastGain = 12.0
	// fullEnough is the share of the weight of a full segment from which one is heard.
	fullEnough = 0.5
	// leastLog bounds what one segment can say against a key: a chord out of key is not a change.
	leastLog = -3.0
	// clearOdds is how likely the key of each side must be there, and hardlyOdds how likely the
	// other side's may be.
	clearOdds  = 0.7
	hardlyOdds = 0.1
)

// held is a key and the segments, from the first to before the last, that hold it.
type held struct {
	key         Key
	first, last int
	full        int  // segments that are full enough to tell
	moved       bool // what the last one holds, at another pitch
	part        part
}

// plan splits a track into stretches of one key each.
type plan struct {
	parts []part
	full  []bool
	least int // full segments that a key is held at least
	sums  [][24]float64
	tones []tones // of the segments before each place
}

// newPlan sums up how well each key explains the segments to each place; thin ones, as
// of drums alone, say nothing.
func newPlan(parts []part, frames int, segmentSeconds float64) *plan {
	p := &plan{
		parts: parts, full: make([]bool, len(parts)), sums: make([][24]float64, len(parts)+1), tones: make([]tones, len(parts)+1),
		least: int(math.Ceil(leastHeld / segmentSeconds)),
	}
	for i := range parts {
		p.sums[i+1], p.tones[i+1] = p.sums[i], p.tones[i].with(&parts[i])
		if p.full[i] = parts[i].weight >= fullEnough*float64(frames); !p.full[i] {
			continue
		}
		o := parts[i].odds()
		for k := range p.sums[i+1] {
			p.sums[i+1][k] += max(math.Log(o[k/12][k%12]), leastLog)
		}
	}
	return p
}

// explained is how well the best key explains segments, and which it is.
func (p *plan) explained(first, last int) (best float64, k int) {
	best = math.Inf(-1)
	for i := range p.sums[0] {
		if v := p.sums[last][i] - p.sums[first][i]; v > best {
			best, k = v, i
		}
	}
	return best, k
}

// stretch sums up segments and finds their key.
func (p *plan) stretch(first, last int) (h held, o odds) {
	h = held{key: NoKey, first: first, last: last}
	for i := first; i < last; i++ {
		h.part.add(&p.parts[i])
		if p.full[i] {
			h.full++
		}
	}
	if h.part.weight > 0 {
		o = h.part.odds()
		h.key, _ = o.best()
	}
	return h, o
}

// split divides segments where the music moves to another pitch, else where two keys explain
// them best, and each side further.
func (p *plan) split(first, last int) []held {
	if at, is := p.movesAt(first, last); is {
		after := p.split(at, last)
		after[0].moved = true
		return append(p.split(first, at), after...)
	}
	whole, _ := p.stretch(first, last)
	one, _ := p.explained(first, last)
	gain, at := 0.0, 0
	for i := first + p.least; i <= last-p.least; i++ {
		a, _ := p.explained(first, i)
		b, _ := p.explained(i, last)
		if a+b-one > gain {
			gain, at = a+b-one, i
		}
	}
	if gain < leastGain || !p.differ(first, at, last) {
		return []held{whole}
	}
	return append(p.split(first, at), p.split(at, last)...)
}

// differ tells whether the key clearly changes at a place, and is held long enough on either
// side.
func (p *plan) differ(first, at, last int) bool {
	a, ao := p.stretch(first, at)
	b, bo := p.stretch(at, last)
	return a.full >= p.least && b.full >= p.least && apart(a.key, b.key, &ao, &bo)
}

// apart tells whether two keys that are likely on either side of a place are clearly
// different. The relative or the parallel key is not: they share their notes, or their tonic,
// and chords do as much within one key. Neither are a minor key and the major one on its
// fourth, i and IV of a dorian shuttle: P. Tagg, Everyday Tonality II (2014).
func apart(a, b Key, before, after *odds) bool {
	switch Relate(a, b) {
	case Same, Relative, Parallel:
		return false
	}
	if shuttle(a, b) || shuttle(b, a) {
		return false
	}
	return before.of(a) >= clearOdds && after.of(b) >= clearOdds && before.of(b) <= hardlyOdds && after.of(a) <= hardlyOdds
}

// shuttle tells whether b is major and on the fourth of a, which is minor.
func shuttle(a, b Key) bool {
	return a.Mode == Minor && b.Mode == Major && (a.Tonic+12-fifth)%12 == b.Tonic
}

// changes gives the stretches of one key, in order; neighbours differ.
func (m *Meter) changes(parts []part) []held {
	p := newPlan(parts, m.perSegment()*m.perFrames, m.segmentSeconds())
	all := p.split(0, len(parts))
	p.agree(all)
	return joined(all)
}

// joined are stretches of which neighbours in one key have become one.
func joined(all []held) (out []held) {
	for _, h := range all {
		if n := len(out); n > 0 && out[n-1].key == h.key {
			out[n-1].last = h.last
			out[n-1].full += h.full
			out[n-1].part.add(&h.part)
			continue
		}
		out = append(out, h)
	}
	return out
}

// longest is the stretch that is held for most of the track.
func longest(stretches []held) *held {
	best := &stretches[0]
	for i := range stretches {
		if h := &stretches[i]; h.last-h.first > best.last-best.first {
			best = h
		}
	}
	return best
}
