package key

import "math"

// chunk is how many samples a channel are worked on at a time, so that the
// buffers stay small whatever the size of the blocks.
const chunk = 4096

// sideRatio is how many times the power of the channels' sum their difference
// must have to be heard in its place: 6 dB, which only channels in opposite
// phase reach.
const sideRatio = 4

// Meter listens to one track.
type Meter struct {
	channels  int
	mid, side *decimator
	mix, diff []float64
	midBuf    []float64 // at the working rate, not yet used up
	sideBuf   []float64
	wide      bool // the difference has been the stronger one: side is in use
	spectrum  *analyser
	hop       int
	moments   []moment
	perFrames int // frames a moment
	heard     func(amp []float64)
}

// Hear calls f with the amplitudes of every frame that is analysed from now on, so that
// others need no transform of their own. amp[i] is that of i times binHz, a full-scale
// sine having 1; frames begin hop seconds apart, and bins is the length of amp. f must
// not change or keep it.
func (m *Meter) Hear(f func(amp []float64)) (binHz, hop float64, bins int) {
	m.heard = f
	return m.spectrum.binHz, float64(m.hop) / m.mid.rate, len(m.spectrum.amp)
}

// New makes a meter for a track of the given rate in hertz and number of
// channels, both at least 1.
func New(rate, channels int) *Meter {
	m := &Meter{
		channels:  channels,
		mid:       newDecimator(float64(rate)),
		side:      newDecimator(float64(rate)),
		mix:       make([]float64, chunk),
		diff:      make([]float64, chunk),
		moments:   make([]moment, 0, maxMoments),
		perFrames: momentFrames,
	}
	m.spectrum = newAnalyser(m.mid.rate)
	m.hop = int(math.Round(hopSeconds * m.mid.rate))
	room := len(m.spectrum.window) + chunk + 1
	m.midBuf = make([]float64, 0, room)
	m.sideBuf = make([]float64, 0, room)
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
	mix, diff := m.mix[:to-from], m.diff[:to-from]
	if m.channels == 1 {
		for i, v := range block[0][from:to] {
			mix[i] = float64(v)
		}
	} else if mixDown(mix, diff, block[:m.channels], from) && !m.wide {
		m.wide = true
		m.side.silence(m.mid)
		m.sideBuf = m.sideBuf[:len(m.midBuf)]
		clear(m.sideBuf)
	}
	m.midBuf = append(m.midBuf, m.mid.write(mix)...)
	if m.wide {
		m.sideBuf = append(m.sideBuf, m.side.write(diff)...)
	}
	m.frames()
}

// mixDown writes the mean of all channels to mix and half the difference of
// the first two to diff, and tells whether the latter is sideRatio stronger.
func mixDown(mix, diff []float64, block [][]float32, from int) bool {
	left, right := block[0][from:][:len(mix)], block[1][from:][:len(mix)]
	sum, gain := 0.0, 1/float64(len(block))
	dif := 0.0
	for i := range mix {
		l, r := float64(left[i]), float64(right[i])
		s, d := gain*(l+r), 0.5*(l-r)
		mix[i], diff[i] = s, d
		sum += s * s
		dif += d * d
	}
	for _, c := range block[2:] {
		for i, v := range c[from:][:len(mix)] {
			mix[i] += gain * float64(v)
		}
	}
	return dif > sideRatio*sum
}

// frames analyses what is whole of the buffered samples.
func (m *Meter) frames() {
	n, at := len(m.spectrum.window), 0
	for ; at+n <= len(m.midBuf); at += m.hop {
		frame := m.midBuf[at : at+n]
		if m.wide {
			frame = louder(frame, m.sideBuf[at:at+n])
		}
		now := m.moment()
		now.add(m.spectrum.analyse(frame))
		for i, v := range m.spectrum.power {
			now.power[i] += float32(v)
		}
		if m.heard != nil {
			m.heard(m.spectrum.amp)
		}
	}
	if at == 0 {
		return
	}
	m.midBuf = m.midBuf[:copy(m.midBuf, m.midBuf[at:])]
	if m.wide {
		m.sideBuf = m.sideBuf[:copy(m.sideBuf, m.sideBuf[at:])]
	}
}

// louder is the sum of the channels, unless their difference has sideRatio times
// its power.
func louder(mid, side []float64) []float64 {
	m, s := 0.0, 0.0
	for i, v := range mid {
		m += v * v
		s += side[i] * side[i]
	}
	if s > sideRatio*m {
		return side
	}
	return mid
}

// moment is the one that the next frame belongs to.
func (m *Meter) moment() *moment {
	n := len(m.moments)
	if n > 0 && m.moments[n-1].frames < m.perFrames {
		return &m.moments[n-1]
	}
	if n == maxMoments {
		for i := range n / 2 {
			m.moments[2*i].merge(&m.moments[2*i+1])
			m.moments[i] = m.moments[2*i]
		}
		m.moments = m.moments[:n/2]
		m.perFrames *= 2
	}
	m.moments = append(m.moments, moment{})
	return &m.moments[len(m.moments)-1]
}

// perSegment is the number of moments in a segment.
func (m *Meter) perSegment() int { return max(1, segmentMoments*momentFrames/m.perFrames) }

// segmentSeconds is the length of a whole segment.
func (m *Meter) segmentSeconds() float64 {
	return float64(m.perSegment()*m.perFrames*m.hop) / m.mid.rate
}
