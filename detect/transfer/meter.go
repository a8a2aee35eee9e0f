package transfer

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// cellSeconds is the grain of clicks: 32 samples at 44.1 and 48 kHz, as
	// long as a click of a record is.
	cellSeconds = 0.0007
	// partsPerCell is how many samples of the first decimation a cell gives.
	partsPerCell = 4
	// chunkCells is how many cells are taken at a time.
	chunkCells = 64
	// maxSeconds bounds what is remembered of a track: of a longer recording the
	// beginning is judged.
	maxSeconds = 3 * 3600.0
)

// Meter looks for what a transfer has left in one track. Feed it with Write, then ask
// for the Result. Its zero value is of no use: call New.
type Meter struct {
	rate  float64
	cell  int          // samples a cell
	ears  [2]int       // the two channels that are listened to
	slope [2]slope     // where the chunk goes on from
	buf   [2][]float32 // a chunk that blocks have parted, or that must be tamed
	fill  int          // samples in it
	cells [2][]cell
	parts [2][]float32 // means of the parts of the cells
	at    int64        // cells before the chunk
	whole int64        // samples written

	clicks clicks
	begins begins
	hiss   hiss
	low    *low // nil at rates where it makes no sense
	wow    *wow

	settled *settled // nil before Settle
}

// New makes a Meter for a rate in hertz and a number of channels, both as decode's
// Info has them. Of more than two channels the first two are listened to.
func New(rate, channels int) *Meter {
	m := &Meter{rate: float64(max(rate, 1))}
	m.ears[1] = min(1, max(channels, 1)-1)
	m.cell = cellSamples(m.rate)
	for c := range m.buf {
		m.buf[c] = make([]float32, chunkCells*m.cell)
		m.cells[c] = make([]cell, chunkCells)
		m.parts[c] = make([]float32, chunkCells*partsPerCell)
	}
	m.clicks = newClicks(m.rate / float64(m.cell))
	m.hiss = newHiss(m.rate, m.cell)
	partRate := m.rate / float64(m.cell/partsPerCell)
	m.low = newLow(partRate)
	m.wow = newWow(partRate / 2)
	return m
}

// cellSamples is the power of two nearest to cellSeconds, from 8 to 1024: what a file
// says of its rate must not ask for gigabytes.
func cellSamples(rate float64) int {
	return 1 << max(3, min(10, int(math.Round(math.Log2(rate*cellSeconds)))))
}

// Write takes in the next block: block[c][i] is sample i of channel c, full scale
// being 1. Nothing of it is kept.
func (m *Meter) Write(block [][]float32) {
	if len(block) <= m.ears[1] {
		return
	}
	x, y := block[m.ears[0]], block[m.ears[1]]
	size := chunkCells * m.cell
	for len(x) > 0 {
		take := min(len(x), size-m.fill)
		if take == size {
			m.chunk(x[:take], y[:take])
		} else {
			copy(m.buf[0][m.fill:], x[:take])
			copy(m.buf[1][m.fill:], y[:take])
			if m.fill += take; m.fill == size {
				m.chunk(m.buf[0], m.buf[1])
				m.fill = 0
			}
		}
		x, y = x[take:], y[take:]
	}
	m.whole += int64(len(block[0]))
}

// chunk looks at the whole cells of x and y, which it leaves as they are.
func (m *Meter) chunk(x, y []float32) {
	n := len(x) / m.cell
	if n == 0 || float64(m.at)*float64(m.cell) > maxSeconds*m.rate {
		return
	}
	x, y = x[:n*m.cell], y[:n*m.cell]
	before := m.slope
	measure(&m.cells, &m.parts, x, y, m.cell, &m.slope)
	left, right := m.cells[0][:n], m.cells[1][:n]
	if dsp.Wild(left) || dsp.Wild(right) {
		x, y = m.buf[0][:copy(m.buf[0], x)], m.buf[1][:copy(m.buf[1], y)]
		dsp.Tame(left, x)
		dsp.Tame(right, y)
		m.slope = before
		measure(&m.cells, &m.parts, x, y, m.cell, &m.slope)
	}
	m.clicks.write(left, right)
	m.hiss.write(x, y)
	m.begins.write(left, right)
	l, r := m.parts[0][:n*partsPerCell], m.parts[1][:n*partsPerCell]
	if m.low != nil {
		m.low.write(l, r)
		m.wow.write(m.low.half[0], m.low.half[1])
	}
	m.at += int64(n)
}

// seconds turns a place in cells into one in seconds.
func (m *Meter) seconds(cells int64) float64 { return float64(cells) * float64(m.cell) / m.rate }
