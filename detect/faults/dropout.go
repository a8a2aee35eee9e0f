package faults

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dubgauge/detect/reason"
)

const (
	// A dropout is a run of digital zeros no longer than this: several frames of a
	// codec, some sectors of a disc. Longer ones are pauses.
	dropMax = 0.25 // s
	// dropLevel is the level, RMS over some 50 ms, that music must have before a
	// dropout for the gap to be heard, in dBFS.
	dropLevel = -40.0
	// dropEdge is what the 1.5 ms on one side of the gap must have of the level
	// before, dropOther what those on the other side must have: a note that fades, or
	// is gated with a ramp, has not. The low end may just pass through zero there.
	dropEdge, dropOther = 0.25, 0.1 // of the amplitude
	// dropJump is what one of the two samples at the edges must have of it: an edit
	// at a zero crossing is not a dropout.
	dropJump = 0.1 // of the amplitude
	// dropMemory is the time constant of the level before, in seconds.
	dropMemory = 0.02
	// edgeCells is the length of an edge in cells.
	edgeCells = 2
	// maxGaps bounds the list of gaps of one channel.
	maxGaps = 512
)

// gap is a run of zeros, in samples.
type gap struct{ start, length int64 }

// dropouts looks for digital zeros inside the music of one channel.
type dropouts struct {
	level float64 // mean square, running
	open  bool
	gap   gap
	last  float64 // amplitude of the sample before the gap
	edge  float64 // mean square of the edge before it
	ahead int     // cells of the edge after it that are still to come
	after float64 // its energy
	count int
	gaps  []gap
	more  bool // there were more than maxGaps
}

func (d *dropouts) chunk(x []float32, stats []cell, cells, size int, at int64) {
	past := pastCells * size
	for i := range cells {
		s := &stats[pastCells+i]
		from := past + i*size
		switch zero := s.energy == 0 && s.max == 0 && s.min == 0; {
		case d.ahead > 0:
			d.after += float64(s.energy)
			d.count += s.n
			if d.ahead--; d.ahead == 0 {
				d.judge()
			}
		case zero && !d.open:
			d.begin(x, from, size, at-int64(past))
		case !zero && d.open:
			d.end(x, from, s.n, at-int64(past))
			d.after, d.count = float64(s.energy), s.n
		}
		if s.energy > 0 && d.ahead == 0 {
			k := float64(s.n) / float64(size) * cellSeconds / dropMemory
			d.level += k * (float64(s.energy)/float64(s.n) - d.level)
		}
	}
}

// begin opens a gap at the cell of zeros that starts at x[from].
func (d *dropouts) begin(x []float32, from, size int, base int64) {
	for from > size && x[from-1] == 0 && from > edgeCells*size {
		from--
	}
	d.open = true
	d.gap.start = base + int64(from)
	d.last = math.Abs(float64(x[from-1]))
	d.edge = 0
	for _, v := range x[from-edgeCells*size : from] {
		d.edge += float64(v) * float64(v)
	}
	d.edge /= float64(edgeCells * size)
}

// end closes the gap within the cell of n samples that starts at x[from].
func (d *dropouts) end(x []float32, from, n int, base int64) {
	to := from
	for to < from+n-1 && x[to] == 0 {
		to++
	}
	d.open = false
	d.gap.length = base + int64(to) - d.gap.start
	d.last = max(d.last, math.Abs(float64(x[to])))
	d.ahead = edgeCells
}

// judge keeps the gap if it is a dropout.
func (d *dropouts) judge() {
	amplitude := math.Sqrt(d.level)
	after := d.after / float64(d.count)
	if decibels(amplitude) < dropLevel || d.last < dropJump*amplitude ||
		max(d.edge, after) < dropEdge*dropEdge*d.level || min(d.edge, after) < dropOther*dropOther*d.level {
		return
	}
	if len(d.gaps) == maxGaps {
		d.more = true
		return
	}
	d.gaps = append(d.gaps, d.gap)
}

// dropped names the dropouts of all channels.
func (m *Meter) dropped(r *Result) {
	var all []gap
	channels := 0
	for c := range m.drops {
		d := &m.drops[c]
		if d.more {
			return // a gate at audio rate or a bit-crushed wave, not damage
		}
		d.gaps = slices.DeleteFunc(d.gaps, func(g gap) bool { return float64(g.length) > dropMax*m.rate })
		kept := withoutRhythm(d.gaps, m.rate)
		if len(kept) > 0 {
			channels++
		}
		all = append(all, kept...)
	}
	if len(all) == 0 {
		return
	}
	slices.SortFunc(all, func(a, b gap) int { return int(a.start - b.start) })
	joined := all[:1]
	for _, g := range all[1:] {
		if g.start > joined[len(joined)-1].start+joined[len(joined)-1].length {
			joined = append(joined, g)
		}
	}
	where := ""
	if channels < len(m.drops) {
		where = " in one channel"
	}
	at := make([]float64, len(joined))
	var longest int64
	for i, g := range joined {
		at[i] = m.seconds(g.start)
		longest = max(longest, g.length)
	}
	r.add(reason.Dropout, at[0], "%s of digital zeros%s inside the music, at most %.0f ms: %s",
		counted(len(at), "gap"), where, 1000*float64(longest)/m.rate, clock(at))
}

// withoutRhythm drops gaps that come at even distances: three or more in a row of
// like length and spacing are a gate effect.
func withoutRhythm(g []gap, rate float64) []gap {
	even := make([]bool, len(g))
	like := func(a, b int64) bool {
		return math.Abs(float64(a-b)) <= max(0.002*rate, 0.03*float64(max(a, b)))
	}
	for i := 1; i+1 < len(g); i++ {
		a, b, c := g[i-1], g[i], g[i+1]
		if like(b.start-a.start, c.start-b.start) && like(a.length, b.length) && like(b.length, c.length) {
			even[i-1], even[i], even[i+1] = true, true, true
		}
	}
	var out []gap
	for i, e := range even {
		if !e {
			out = append(out, g[i])
		}
	}
	return out
}

// counted words a number of things.
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// clock lists times as minutes and seconds, the first five.
func clock(at []float64) string {
	var s []string
	for i, t := range at {
		if i == 5 {
			return strings.Join(s, ", ") + " and on"
		}
		s = append(s, fmt.Sprintf("%d:%06.3f", int(t)/60, math.Mod(t, 60)))
	}
	return strings.Join(s, ", ")
}
