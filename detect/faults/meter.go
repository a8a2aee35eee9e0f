package faults

import (
	"math"

	"dubgauge/decode/stream"
	"dubgauge/detect/dsp"
)

const (
	// cellSeconds is the grain of the analysis: 32 samples at 44.1 and 48 kHz.
	// The sum of a cell is then a low-passed sample at about 1.4 kHz, enough for
	// the low end, and a cell that is all zeros is found without a look at samples.
	cellSeconds = 0.0007
	// cellsPerChunk is how many cells are taken at a time, a compromise between
	// the cost of a round and the size of the buffers.
	cellsPerChunk = 64
	// pastCells stay at hand so that what lies before an edge can be looked at.
	pastCells = 4
)

// Result is what a Meter found.
type Result struct {
	// Faults are in order of their place; those of the whole track come first.
	Faults []Fault
	// ClippedRuns counts runs of 3 or more samples at the channel's own ceiling,
	// over all channels; ClippedAt holds the times of the first of them, in
	// seconds, at most maxPlaces.
	ClippedRuns int
	ClippedAt   []float64
	// Fingerprint is for Duplicates; empty when there is too little audio.
	Fingerprint string
}

// maxPlaces bounds every list of places in a track.
const maxPlaces = 100

// Meter looks for faults in one track. Feed it with Write, then ask for the
// Result once. Its zero value is of no use: call New.
type Meter struct {
	info  stream.Info
	rate  float64
	cell  int         // samples a cell
	buf   [][]float32 // per channel: pastCells of the past, then the chunk
	fill  int         // samples in the chunk
	at    int64       // samples a channel before the chunk
	stats [][]cell    // per channel, pastCells of the past and the chunk's

	channels channelSums
	silence  silence
	clips    []clipper
	clicks   clicks
	wall     *wall // nil for lossy codings
	print    fingerprint
}

// New returns a Meter for a stream that is described by info.
func New(info stream.Info) *Meter {
	m := &Meter{info: info, rate: float64(max(info.SampleRate, 1))}
	n := max(info.Channels, 1)
	m.cell = cellSamples(m.rate)
	m.buf = make([][]float32, n)
	m.stats = make([][]cell, n)
	for c := range m.buf {
		m.buf[c] = make([]float32, (pastCells+cellsPerChunk)*m.cell)
		m.stats[c] = make([]cell, pastCells+cellsPerChunk)
	}
	m.channels = newChannelSums(n, m.rate/float64(m.cell))
	m.silence = newSilence(m.rate, m.cell)
	m.clips = make([]clipper, 2*n)
	for i := range m.clips {
		m.clips[i] = newClipper(info.BitDepth)
	}
	if info.BitDepth > 0 {
		m.wall = newWall(info.SampleRate)
	}
	m.clicks = newClicks(n, m.rate, m.cell)
	m.print = newFingerprint(m.rate, m.cell)
	return m
}

// cellSamples is the power of two nearest to cellSeconds, from 8 to 1024: what a file
// says of its rate must not ask for gigabytes.
func cellSamples(rate float64) int {
	return 1 << max(3, min(10, int(math.Round(math.Log2(rate*cellSeconds)))))
}

// Write takes the next block: block[c] has the samples of channel c, all of one
// length. Channels beyond those that New was told of are left out.
func (m *Meter) Write(block [][]float32) {
	if len(block) < len(m.buf) {
		return
	}
	for from, n := 0, len(block[0]); from < n; {
		take := min(n-from, cellsPerChunk*m.cell-m.fill)
		at := pastCells*m.cell + m.fill
		for c := range m.buf {
			copy(m.buf[c][at:at+take], block[c][from:from+take])
		}
		from += take
		m.fill += take
		if m.fill == cellsPerChunk*m.cell {
			m.chunk()
		}
	}
}

// chunk looks at what is in the buffer and keeps its end as the past.
func (m *Meter) chunk() {
	cells := (m.fill + m.cell - 1) / m.cell
	past := pastCells * m.cell
	m.measure(cells, past)
	for c, x := range m.buf {
		for i := range cells {
			s := &m.stats[c][pastCells+i]
			m.clips[2*c].cell(x, past+i*m.cell, s.n, 1, s.max, m.at-int64(past))
			m.clips[2*c+1].cell(x, past+i*m.cell, s.n, -1, -s.min, m.at-int64(past))
		}
	}
	if m.wall != nil {
		m.wall.write(m.buf, past, m.fill)
	}
	m.channels.chunk(m.buf, m.stats, cells, past, m.fill)
	m.silence.chunk(m.stats, cells)
	m.clicks.chunk(m.buf, m.stats, cells, m.cell, m.at, m.rate)
	m.print.chunk(m.stats, cells, m.at)
	for c, x := range m.buf {
		copy(x[:past], x[m.fill:m.fill+past])
		copy(m.stats[c][:pastCells], m.stats[c][cells:cells+pastCells])
	}
	m.at += int64(m.fill)
	m.fill = 0
}

// measure fills the cells of the chunk, two channels at a time, and cuts samples down that
// cannot be measured.
func (m *Meter) measure(cells, past int) {
	rest := 0
	for ; rest+1 < len(m.buf); rest += 2 {
		measureTwo(m.stats[rest][pastCells:pastCells+cells], m.stats[rest+1][pastCells:],
			m.buf[rest][past-1:past+m.fill], m.buf[rest+1][past-1:past+m.fill], m.cell)
	}
	for c, x := range m.buf {
		stats := m.stats[c][pastCells : pastCells+cells]
		if c == rest {
			measure(stats, x[past-1:past+m.fill], m.cell)
		}
		if dsp.Tame(stats, x[past:past+m.fill]) {
			measure(stats, x[past-1:past+m.fill], m.cell)
		}
	}
}

// seconds turns a place in samples into one in seconds.
func (m *Meter) seconds(sample int64) float64 { return float64(sample) / m.rate }
