package key

import "math"

// chunk is how many samples a channel are worked on at a time, so that the
// buffers stay small whatever the size of the blocks.
const chunk = 4096

// Meter listens to one track.
type Meter struct {
	channels  int
	mid, side *decimator // side is nil for mono
	mix       []float64
	midBuf    []float64 // at the working rate, not yet used up
	sideBuf   []float64
	spectrum  *analyser
	hop       int
	segments  []segment
	perFrames int // frames a segment
}

// New makes a meter for a track of the given rate in hertz and number of
// channels.
func New(rate, channels int) *Meter {
	m := &Meter{channels: channels, mid: newDecimator(float64(rate))}
	if channels > 1 {
		m.side = newDecimator(float64(rate))
	}
	m.spectrum = newAnalyser(m.mid.rate)
	m.hop = int(math.Round(hopSeconds * m.mid.rate))
	m.mix = make([]float64, chunk)
	room := len(m.spectrum.window) + chunk + 1
	m.midBuf = make([]float64, 0, room)
	m.sideBuf = make([]float64, 0, room)
	m.segments = make([]segment, 0, maxSegments)
	m.perFrames = int(math.Round(segmentSeconds / hopSeconds))
	return m
}

// Write takes the next block of the track: one slice a channel, all of one
// length, full scale being 1. The block is not kept.
func (m *Meter) Write(block [][]float32) {
	if len(block) == 0 {
		return
	}
	for from := 0; from < len(block[0]); from += chunk {
		m.write(block, from, min(from+chunk, len(block[0])))
	}
}

// write takes samples from to to of a block.
func (m *Meter) write(block [][]float32, from, to int) {
	mix := m.mix[:to-from]
	clear(mix)
	gain := 1 / float64(m.channels)
	for _, c := range block[:m.channels] {
		for i, v := range c[from:to] {
			mix[i] += gain * float64(v)
		}
	}
	m.midBuf = append(m.midBuf, m.mid.write(mix)...)
	if m.side != nil {
		right := block[1][from:to]
		for i, v := range block[0][from:to] {
			mix[i] = 0.5 * (float64(v) - float64(right[i]))
		}
		m.sideBuf = append(m.sideBuf, m.side.write(mix)...)
	}
	m.frames()
}

// frames analyses what is whole of the buffered samples.
func (m *Meter) frames() {
	n, at := len(m.spectrum.window), 0
	for ; at+n <= len(m.midBuf); at += m.hop {
		frame := m.midBuf[at : at+n]
		if m.side != nil {
			frame = louder(frame, m.sideBuf[at:at+n])
		}
		m.segment().add(m.spectrum.analyse(frame))
	}
	if at == 0 {
		return
	}
	m.midBuf = m.midBuf[:copy(m.midBuf, m.midBuf[at:])]
	if m.side != nil {
		m.sideBuf = m.sideBuf[:copy(m.sideBuf, m.sideBuf[at:])]
	}
}

// louder is the sum of the channels, unless their difference has over four
// times its power: music whose channels are in opposite phase.
func louder(mid, side []float64) []float64 {
	m, s := 0.0, 0.0
	for i, v := range mid {
		m += v * v
		s += side[i] * side[i]
	}
	if s > 4*m {
		return side
	}
	return mid
}

// segment is the one that the next frame belongs to.
func (m *Meter) segment() *segment {
	n := len(m.segments)
	if n > 0 && m.segments[n-1].frames < m.perFrames {
		return &m.segments[n-1]
	}
	if n == maxSegments {
		for i := range n / 2 {
			m.segments[2*i].merge(&m.segments[2*i+1])
			m.segments[i] = m.segments[2*i]
		}
		m.segments = m.segments[:n/2]
		m.perFrames *= 2
	}
	m.segments = append(m.segments, segment{})
	return &m.segments[len(m.segments)-1]
}
