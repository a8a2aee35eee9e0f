package fingerprint

import (
	"math"

	"dubgauge/detect/key"
)

const (
	// frames are summed to a window: 0.93 s of music, so that two prints that lie half a
	// frame (93 ms) apart hear nearly the same. One frame alone leaves 30 % of the bits
	// different there, four leave 19 %.
	frames = 4
	// apart is how many frames ago the window was that another is compared with: the next
	// one behind it.
	apart = 4
	// maxSeconds is the longest recording that has a print: longer ones are sets and
	// programmes, which hold many tunes and would be called versions of them all. Our
	// judgement, no source.
	maxSeconds = 20 * 60
	// faintest is the amplitude of all bands together, full scale being 1, from which a
	// window is heard: -70 dB, over the noise of 16 bits and of encoders.
	faintest = 3e-4
	// stillest is how far the bands must move against one another in the mean, in nepers,
	// 0.1 dB: where less happens (a drone, a test tone) the bits are those of noise.
	stillest = 0.0115
	// deepest is how far under the loudest band one still counts for that, in nepers of
	// amplitude, 80 dB: further down are the skirts of the transform's window.
	deepest = 9.21
)

// Meter makes the print of a track from the frames of a key.Meter, which is written the
// track.
type Meter struct {
	sums  *bandSums
	rows  [frames + apart][bands]float32 // the last frames, by their number
	logs  [apart][bands]float64          // the last windows, likewise
	n     int                            // frames so far
	most  int
	print Print
}

// Of listens to what tone is written from now on.
func Of(tone *key.Meter) *Meter {
	m := &Meter{}
	binHz, hop, bins := tone.Hear(m.frame)
	m.sums = newBandSums(binHz, bins)
	m.most = int(maxSeconds / hop)
	m.print = make(Print, 0, m.most)
	return m
}

// Print is that of the track so far; nil when there is too little of it, or too much.
func (m *Meter) Print() Print {
	if m.n > m.most || len(m.print) < leastPrint {
		return nil
	}
	return m.print
}

// frame takes the amplitudes of a frame.
func (m *Meter) frame(amp []float64) {
	if m.n++; m.n > m.most {
		return
	}
	m.sums.amplitudes(&m.rows[m.n%len(m.rows)], amp)
	if m.n < frames {
		return
	}
	m.print = append(m.print, m.window())
}

// window gives the sub-print of the last frames, 0 where there is nothing to hear.
func (m *Meter) window() uint32 {
	before := &m.logs[m.n%apart]
	var now [bands]float64
	all, top := 0.0, math.Inf(-1)
	for k := range now {
		sum := 0.0
		for i := range frames {
			sum += float64(m.rows[(m.n-i)%len(m.rows)][k])
		}
		all += sum
		now[k] = math.Log(sum + 1e-9)
		top = max(top, now[k])
	}
	var bits uint32
	moved := 0.0
	for k := range bitsPrint {
		f := now[k] - now[k+1] - (before[k] - before[k+1])
		if min(now[k], now[k+1]) > top-deepest {
			moved += math.Abs(f)
		}
		if f > 0 {
			bits |= 1 << k
		}
	}
	*before = now
	if m.n < frames+apart || all < faintest*frames || moved < stillest*bitsPrint {
		return 0
	}
	return bits
}
