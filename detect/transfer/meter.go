package transfer

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// cellSeconds is the grain of clicks and hiss: 32 samples at 44.1 and 48 kHz, as
	// long as a click of a record is.
	cellSeconds = 0.0007
	// partsPerCell is how many samples of the first decimation a cell gives.
	partsPerCell = 4
	// past is how many samples before the first the second difference needs.
	past = 4
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
	buf   [2][]float32 // past samples, then the chunk
	fill  int          // samples in the chunk
	cells [2][]cell
	parts [2][]float32 // means of the parts of the cells
	at    int64        // cells before the chunk
	whole int64        // samples written

	clicks clicks
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
		m.buf[c] = make([]float32, past+chunkCells*m.cell)
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
	for from, n := 0, len(block[0]); from < n; {
		take := min(n-from, chunkCells*m.cell-m.fill)
		for c, ear := range m.ears {
			copy(m.buf[c][past+m.fill:], block[ear][from:from+take])
		}
		from += take
		m.whole += int64(take)
		if m.fill += take; m.fill == chunkCells*m.cell {
			m.chunk()
			m.fill = 0
		}
	}
}

// chunk looks at what is whole of the buffer.
func (m *Meter) chunk() {
	n := m.fill / m.cell
	if n == 0 || float64(m.at)*float64(m.cell) > maxSeconds*m.rate {
		return
	}
	x, y := m.buf[0][:past+n*m.cell], m.buf[1][:past+n*m.cell]
	measure(&m.cells, &m.parts, x, y, m.cell)
	wild := dsp.Tame(m.cells[0][:n], x)
	if dsp.Tame(m.cells[1][:n], y) || wild {
		measure(&m.cells, &m.parts, x, y, m.cell)
	}
	copy(x, x[len(x)-past:])
	copy(y, y[len(y)-past:])
	left, right := m.cells[0][:n], m.cells[1][:n]
	m.clicks.write(left, right)
	m.hiss.write(left, right)
	l, r := m.parts[0][:n*partsPerCell], m.parts[1][:n*partsPerCell]
	if m.low != nil {
		m.low.write(l, r)
		m.wow.write(m.low.half[0], m.low.half[1])
	}
	m.at += int64(n)
}

// seconds turns a place in cells into one in seconds.
func (m *Meter) seconds(cells int64) float64 { return float64(cells) * float64(m.cell) / m.rate }
