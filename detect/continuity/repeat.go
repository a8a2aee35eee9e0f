package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// repeatFrom and repeatTo are the lengths of a piece that is looked for, in seconds.
	repeatFrom, repeatTo = 0.018, 1.9
	// An anchor is the highest sample of a cell that stands above the highest of
	// anchorReach cells on both sides: the same sound gives the same anchors wherever
	// it lies.
	anchorReach = 4
	// anchorLeast is the least height of an anchor, -40 dBFS.
	anchorLeast = 0.01
	// anchors kept: of repeatTo at least, as two lie anchorReach cells apart.
	maxAnchors = 512
	// anchorSlots part the anchors by their value, so that few are compared.
	anchorSlotBits, anchorSlots = 10, 1 << 10
	// sameSamples around an anchor that must be equal bit by bit.
	sameSamples = 24
	// maxPending bounds the matches that wait for what follows, maxRepeats what is found.
	maxPending, maxRepeats = 32, 100
	// repeatSlack is how far the length of what is equal may lie off the distance of the
	// two: some samples are equal by chance.
	repeatSlack = 8
	// stillJump is what a jump must have of the mean difference of two samples.
	stillJump = 0.3
	// repeatGrid is how near to a fraction of the beat a repeat is an edit, in seconds.
	repeatGrid = 0.0015
)

// repeats looks for a piece of the first channel that is there twice in a row, sample
// by sample.
type repeats struct {
	rate float64
	cell int
	ring []float32 // the past, a power of two of samples
	now  int64     // samples so far

	peaks   [anchorReach + 1]float32 // the highest samples of the last cells
	cells   int64
	open    bool  // one of them may be an anchor:
	high    int   // that in this place
	highAt  int64 // of this cell
	anchors [maxAnchors]top
	count   int              // anchors so far; that of number i is in place i % maxAnchors
	latest  [anchorSlots]int // number of the latest anchor of values that share a slot, from 1 on
	pending []match
	done    []match // the last ones that were settled, for each distance
	found   []match
	more    bool
}

// top is a sample that is the highest around.
type top struct {
	value  float32
	at     int64
	before int // number of the anchor before of the same slot, from 1 on
}

// match says that the samples around at are those around at-distance; settled it says
// from where to where they are.
type match struct {
	at, distance, from, to int64
}

func newRepeats(rate float64, cell int) repeats {
	n := 1
	for float64(n) < 3*repeatTo*rate {
		n *= 2
	}
	return repeats{rate: rate, cell: cell, ring: make([]float32, n), pending: make([]match, 0, maxPending)}
}

// follow takes the next samples: whole cells but at the end of the track.
func (r *repeats) follow(x []float32) {
	for len(x) >= r.cell {
		r.take(x[:r.cell])
		x = x[r.cell:]
	}
}

// take takes a cell. The highest sample is found as a whole number, which is faster:
// the bits of positive numbers are in the order of the numbers.
func (r *repeats) take(x []float32) {
	copy(r.ring[int(r.now)&(len(r.ring)-1):], x)
	hi := int32(0)
	for _, v := range x {
		hi = max(hi, int32(math.Float32bits(v)))
	}
	r.peak(math.Float32frombits(uint32(hi)))
	r.now += int64(len(x))
	for i := 0; i < len(r.pending); {
		m := r.pending[i]
		if m.at+m.distance+int64(r.cell) >= r.now {
			i++
			continue
		}
		r.settle(m)
		r.pending = r.pending[:i+copy(r.pending[i:], r.pending[i+1:])]
	}
}

// peak takes the highest sample of the cell that begins now. One that is above those of
// anchorReach cells before waits for as many after.
func (r *repeats) peak(v float32) {
	if r.open {
		switch {
		case v >= r.peaks[r.high]:
			r.open = false
		case r.cells-r.highAt == anchorReach:
			r.open = false
			r.anchor(r.peaks[r.high], r.highAt*int64(r.cell))
		}
	}
	i := int(r.cells % (anchorReach + 1))
	r.peaks[i] = v
	above := v >= anchorLeast
	for j := 0; above && j <= anchorReach; j++ {
		above = j == i || v > r.peaks[j]
	}
	if above {
		r.open, r.high, r.highAt = true, i, r.cells
	}
	r.cells++
}

// anchor looks whether the sample of a value in the cell at a place was there before.
func (r *repeats) anchor(value float32, at int64) {
	for r.sample(at) != value {
		at++
	}
	bits := math.Float32bits(value)
	slot := &r.latest[(bits^bits>>anchorSlotBits)%anchorSlots]
	for n := *slot; n > 0 && n > r.count-maxAnchors; {
		b := &r.anchors[(n-1)%maxAnchors]
		d := at - b.at
		if float64(d) > repeatTo*r.rate {
			break
		}
		if b.value == value && float64(d) >= repeatFrom*r.rate && r.same(at-sameSamples/2, d, sameSamples) {
			r.wait(match{at: at, distance: d})
			break
		}
		n = b.before
	}
	r.anchors[r.count%maxAnchors] = top{value, at, *slot}
	r.count++
	*slot = r.count
}

// wait keeps a match until enough of what follows is known, unless it belongs to one
// that is known.
func (r *repeats) wait(m match) {
	for _, list := range [][]match{r.pending, r.done} {
		for _, p := range list {
			if p.distance == m.distance && (p.to == 0 || m.at <= p.to) {
				return
			}
		}
	}
	if len(r.pending) < maxPending {
		r.pending = append(r.pending, m)
	}
}

func (r *repeats) sample(i int64) float32 { return r.ring[int(i)&(len(r.ring)-1)] }

// same tells whether n samples from at on are those of some distance before.
func (r *repeats) same(at, distance int64, n int) bool {
	if at-distance < 0 {
		return false
	}
	for i := at; i < at+int64(n); i++ {
		if r.sample(i) != r.sample(i-distance) {
			return false
		}
	}
	return true
}

// settle finds from where to where a match goes; a piece that is there twice goes for
// as long as its distance.
func (r *repeats) settle(m match) {
	oldest := max(0, r.now-int64(len(r.ring))) + m.distance
	m.from, m.to = m.at, m.at+1
	for m.from > oldest && m.at-m.from <= m.distance && r.sample(m.from-1) == r.sample(m.from-1-m.distance) {
		m.from--
	}
	for m.to < r.now && m.to-m.from <= m.distance+repeatSlack && r.sample(m.to) == r.sample(m.to-m.distance) {
		m.to++
	}
	if len(r.done) == maxPending {
		r.done = r.done[:copy(r.done, r.done[1:])]
	}
	r.done = append(r.done, m)
	if off := m.to - m.from - m.distance; off < -repeatSlack || off > repeatSlack || r.periodic(m) || r.still(m) {
		return
	}
	if len(r.found) == maxRepeats {
		r.more = true
		return
	}
	r.found = append(r.found, m)
}

// periodic tells whether the piece is a tone whose period is a whole number of
// samples: that is equal at any number of periods.
func (r *repeats) periodic(m match) bool {
	mid := (m.from + m.to) / 2
	for d := int64(2); d <= m.distance/2; d++ {
		if mid-d >= m.from && r.same(mid, d, sameSamples) {
			return true
		}
	}
	return false
}

// still tells whether the piece begins without a jump: the sample before it goes on
// into the piece as smoothly as others do. Then it is a loop that was made.
func (r *repeats) still(m match) bool {
	slope, n := 0.0, int64(0)
	for i := m.from + 1; i < m.to && n < int64(r.cell)*8; i++ {
		slope += math.Abs(float64(r.sample(i) - r.sample(i-1)))
		n++
	}
	if m.from < 1 || n == 0 {
		return true
	}
	return math.Abs(float64(r.sample(m.from)-r.sample(m.from-1))) < stillJump*slope/float64(n)
}

// repeatsMost is how often a track with no known beat may repeat itself for that to be worth
// a word: one with more is made of repeats.
const repeatsMost = 3

// twice names the pieces that come twice off the beat. With no beat there is nothing
// to tell a skip from a loop that is meant: that is a note.
func (m *Meter) twice(g Grid) []Finding {
	if m.repeats.more || !g.known() && len(m.repeats.found) > repeatsMost {
		return nil
	}
	var out []Finding
	for _, r := range m.repeats.found {
		d, at := m.seconds(r.distance), m.seconds(r.from)
		f := Finding{
			Kind: reason.Repeat, At: at, Until: m.seconds(r.to), Figure: d,
			Detail: fmt.Sprintf("%s of the music come twice in a row at %s", span(d), reason.Place(at)),
		}
		switch {
		case !g.known():
			f.Kind = reason.RepeatUnsure
		case g.edited(at, d):
			continue
		default:
			f.Detail += ", which is no part of a beat"
		}
		out = append(out, f)
	}
	return out
}

// edited tells whether a repeat of a length, from a time on, is one that edits make:
// whole beats anywhere, eighths to thirty-seconds and triplets where such a part begins.
func (g Grid) edited(at, d float64) bool {
	if d > g.beat()/2 && math.Abs(math.Remainder(d, g.beat())) <= repeatGrid {
		return true
	}
	for _, parts := range []float64{8, 6} {
		if step := g.beat() / parts; math.Abs(math.Remainder(d, step)) <= repeatGrid && d > step/2 && g.off(at, parts) <= gridNear {
			return true
		}
	}
	return false
}
