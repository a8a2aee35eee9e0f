package continuity

import "math"

const (
	// onsetSeconds is the grain of the beginnings of sounds: a sixteenth at 130 BPM is
	// twenty of them long.
	onsetSeconds = 0.0058
	// maxOnsets bounds their number; what comes after 50 minutes is not looked at.
	maxOnsets = 1 << 19
	// onsetFloor and onsetMost, in dB, are the level of the differences from sample to
	// sample under which nothing begins, and the greatest rise that counts as such.
	onsetFloor, onsetMost = -75.0, 25.0
	// onsetStep is the grain of a rise, in dB.
	onsetStep = 0.1
)

// onsets is how the level of the differences from sample to sample rises: where drums and
// notes begin.
type onsets struct {
	perFrame int // cells
	seconds  float64
	sum      float32
	cells    int
	samples  int
	last     float64 // dB
	rises    []uint8 // in onsetStep
}

func newOnsets(rate float64, cell int) onsets {
	cellRate := rate / float64(cell)
	o := onsets{perFrame: max(1, int(math.Round(onsetSeconds*cellRate))), last: onsetFloor}
	o.seconds = float64(o.perFrame) / cellRate
	return o
}

// cell takes the sums of n samples of a channel each.
func (o *onsets) cell(cells *[2]cell, n int) {
	o.sum += cells[0].slope + cells[1].slope
	o.samples += n
	if o.cells++; o.cells < o.perFrame || len(o.rises) == maxOnsets {
		return
	}
	now := max(onsetFloor, decibels(float64(o.sum)/float64(o.samples)))
	o.rises = append(o.rises, uint8(max(0, min(onsetMost, now-o.last))/onsetStep))
	o.last, o.sum, o.cells, o.samples = now, 0, 0, 0
}
