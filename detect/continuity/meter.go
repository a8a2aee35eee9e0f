package continuity

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// cellSeconds is the grain of the sums: 64 samples at 44.1 and 48 kHz. The sums of
	// x are then a signal at about 690 Hz, enough for the low end.
	cellSeconds = 0.00145
	// edgeSeconds is what is looked at on both sides of an edge, and so what has to be
	// at hand before and after the place that is looked at.
	edgeSeconds = 0.09
	// usualRates bound the rate that the lengths of buffers go by, in hertz: what a file
	// says of its rate must not ask for gigabytes.
	lowestRate, highestRate = 8000, 384000
)

// Meter looks for breaks in one track. Feed it with Write, then ask for the Result
// once. Its zero value is of no use: call New.
type Meter struct {
	rate float64
	cell int // samples a cell
	edge int // samples of edgeSeconds, whole cells

	// buf holds, per channel, what lies before and after the samples that are looked
	// at; sample i of the track is buf[c][i-base].
	buf    [][]float32
	fill   int
	base   int64
	looked int64 // samples whose gaps have been looked for
	summed int64 // samples whose cells have been summed

	gaps    []gaps  // per channel
	fills   []fills // per channel
	blocks  blocks
	lag     *lag   // nil for one channel
	edits   *edits // nil for one channel
	repeats repeats
	foreign foreign
	onsets  onsets

	// loud is what loudest gives of loudOf blocks.
	loud   float64
	loudOf int
}

// New returns a Meter for a rate in hertz. Of more than two channels the first two are
// looked at.
func New(rate, channels int) *Meter {
	usual := float64(max(lowestRate, min(highestRate, rate)))
	m := &Meter{rate: float64(max(rate, 1))}
	m.cell = 1 << max(3, min(10, int(math.Round(math.Log2(usual*cellSeconds)))))
	m.edge = (int(usual*edgeSeconds)/m.cell + 1) * m.cell
	n := max(1, min(2, channels))
	m.buf = make([][]float32, n)
	m.gaps, m.fills = make([]gaps, n), make([]fills, n)
	for c := range m.buf {
		m.buf[c] = make([]float32, 8*m.edge)
		m.gaps[c], m.fills[c] = newGaps(usual), newFills(usual, m.cell)
	}
	m.blocks = newBlocks(n, usual, m.cell)
	if n == 2 {
		m.lag = newLag(usual)
		m.edits = newEdits(m.cell)
	}
	m.repeats = newRepeats(usual, m.cell)
	m.foreign = newForeign(n, usual, m.cell)
	m.onsets = newOnsets(usual, m.cell)
	return m
}

// Write takes the next block: block[c] has the samples of channel c, all of one
// length. Nothing of it is kept.
func (m *Meter) Write(block [][]float32) {
	if len(block) < len(m.buf) {
		return
	}
	for from, n := 0, len(block[0]); from < n; {
		if m.fill == len(m.buf[0]) {
			m.shift()
		}
		take := min(n-from, len(m.buf[0])-m.fill)
		for c := range m.buf {
			copy(m.buf[c][m.fill:m.fill+take], block[c][from:from+take])
		}
		from += take
		m.fill += take
		if m.fill == len(m.buf[0]) {
			m.look(false)
		}
	}
}

// shift drops what is no longer needed.
func (m *Meter) shift() {
	drop := int(m.looked-m.base) - m.edge
	for c := range m.buf {
		copy(m.buf[c], m.buf[c][drop:m.fill])
	}
	m.fill -= drop
	m.base += int64(drop)
}

// look sums the new samples and looks at those behind which edgeSeconds are known, at
// the end at all.
func (m *Meter) look(end bool) {
	from, to := int(m.summed-m.base), m.fill
	if !end {
		to -= (to - from) % m.cell
	}
	m.sum(from, to)
	for c := range m.fills {
		m.fills[c].settle(view{m.buf[c][:to], m.base, m.edge}, end)
	}
	m.summed = m.base + int64(to)
	m.repeats.follow(m.buf[0][from:to])
	last := to
	if !end {
		last = max(int(m.looked-m.base), to-m.edge)
	}
	for c := range m.gaps {
		m.gaps[c].look(view{m.buf[c][:to], m.base, m.edge}, int(m.looked-m.base), last, end)
	}
	m.looked = m.base + int64(last)
}

// sum takes the cells of the samples from to to, as places in buf, to all that needs
// them.
func (m *Meter) sum(from, to int) {
	var cells [2]cell
	for ; from < to; from += m.cell {
		n := min(m.cell, to-from)
		for c, x := range m.buf {
			x := x[from : from+n]
			prev := x[0]
			if from > 0 {
				prev = m.buf[c][from-1]
			}
			cells[c] = sums(x, prev)
			// A sum that is no number fails the comparison.
			if dsp.Tame(cells[c:c+1], x) {
				cells[c] = sums(x, max(-dsp.Tallest, min(dsp.Tallest, prev)))
			}
		}
		cross, at := float32(0), m.base+int64(from)
		for c := range m.fills {
			if m.fills[c].cell(&cells[c], n, at) {
				m.fills[c].begin(view{m.buf[c][:to], m.base, m.edge}, from+n)
			}
		}
		if m.edits != nil {
			var most float32
			cross, most = m.edits.side.cell(m.buf[0][from:from+n], m.buf[1][from:from+n])
			m.edits.take(most, at)
		}
		m.blocks.cell(&cells, cross, n)
		m.foreign.cell(&cells, cross, n, at)
		m.onsets.cell(&cells, n)
	}
	if m.lag != nil {
		m.lag.look(m.buf, m.base, to)
		m.edits.settle(m.buf, m.base, to)
	}
}

// seconds turns a place in samples into one in seconds.
func (m *Meter) seconds(sample int64) float64 { return float64(sample) / m.rate }

// total is the length of what was written, in samples.
func (m *Meter) total() int64 { return m.base + int64(m.fill) }
