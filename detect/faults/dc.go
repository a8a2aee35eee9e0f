package faults

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect/dsp"
	"dubgauge/detect/reason"
)

const (
	// dcNamed is how far from zero, as a share of full scale, a channel rests that is named:
	// 0.3 per cent, -50 dBFS, can be heard as a tick at a hard cut in a quiet place (ours, no
	// source), and where the music is loud and lopsided 0.22 is left of that.
	dcNamed = 0.0022
	// dcPlain is the same of what is worth a look: 1 per cent, of which at least four fifths
	// are found, takes 0.1 dB of headroom and thumps at -40 dBFS.
	dcPlain = 0.008
	dcBlock = 0.05 // s
	dcGroup = 20   // blocks
	// dcFloor is added to the energy of each block, as a share of the mean: silence does
	// not decide alone. With dcFloorHigh in its place dcAgree of the rest must be left:
	// where the music itself swings below 20 Hz, the quiet blocks are some of its phases.
	dcFloor, dcFloorHigh, dcAgree = 0.01, 0.1, 0.6
	// dcSure is how many of its own standard deviations the rest must lie from zero.
	dcSure = 4.0
	// dcLowest is the lowest note of which a track may hold half a wave too many, in
	// hertz: that much of a mean proves nothing.
	dcLowest = 20.0
	// dcLeast is the least length of a track for its mean to say anything.
	dcLeast = 3.0 // s
	// dcStretch is how many blocks follow each other where a long track is thinned out, a
	// minute in whole groups, and dcStretches how many of them are kept: of a track of up to
	// 64 minutes all.
	dcStretch, dcStretches = 1200, 64
)

// rest gathers mean and mean square of the blocks of a channel.
type rest struct {
	perBlock, cells, samples int
	sum, energy              float64
	blocks                   *dsp.Thinned[restBlock]
}

type restBlock struct{ mean, energy float32 }

func newRest(cellRate float64) rest {
	return rest{perBlock: max(1, int(dcBlock*cellRate)), blocks: dsp.NewThinned[restBlock](dcStretch, dcStretches)}
}

func (r *rest) add(c *cell) {
	r.sum += float64(c.sum)
	r.energy += float64(c.energy)
	r.samples += c.n
	if r.cells++; r.cells == r.perBlock {
		n := float64(r.samples)
		r.blocks.Append(restBlock{float32(r.sum / n), float32(r.energy / n)})
		r.sum, r.energy, r.cells, r.samples = 0, 0, 0, 0
	}
}

// smoothed gives the blocks weighed 1, 2, 1 with their neighbours, twice, in place of the
// sharp edges that let a bass below 20 Hz through.
func (r *rest) smoothed() []restBlock {
	out := make([]restBlock, r.blocks.Len())
	for i := range out {
		out[i] = *r.blocks.At(i)
	}
	for range 2 {
		before := out[0]
		for i := 1; i+1 < len(out); i++ {
			now, after := out[i], out[i+1]
			out[i] = restBlock{(before.mean + 2*now.mean + after.mean) / 4, (before.energy + 2*now.energy + after.energy) / 4}
			before = now
		}
	}
	return out
}

// restOf is where a channel rests, with its standard deviation: the mean of the blocks,
// each weighed by what it has to say, which the quiet ones have most. Kicks that swing
// further up than down, or a limiter that treats them so, move the mean of all; between
// them the waveform rests where it rests.
//
//	w = 1 / (e - mean^2 + floor power),  rest = sum w m / sum w
//	sigma^2 = sum over groups of (sum w (m - rest))^2 / (sum w)^2
//
// Within a group of dcGroup blocks, a second, the waves of a bass cancel.
func restOf(blocks []restBlock, mean, power, floor float64) (at, sigma float64) {
	weights, squares := 0.0, 0.0
	weight := func(b restBlock) float64 {
		return 1 / (max(0, float64(b.energy)-mean*mean) + floor*power + 1e-20)
	}
	for _, b := range blocks {
		w := weight(b)
		weights += w
		at += w * float64(b.mean)
	}
	at /= weights
	for i := 0; i < len(blocks); i += dcGroup {
		off := 0.0
		for _, b := range blocks[i:min(i+dcGroup, len(blocks))] {
			off += weight(b) * (float64(b.mean) - at)
		}
		squares += off * off
	}
	return at, math.Sqrt(squares) / weights
}

// offset is how far the channel rests from zero, as a share of full scale, given its mean
// and mean square; 0 where that is too little, or what half a wave of the lowest note may
// leave in so many seconds.
//
//	|mean of half a wave in T| = sqrt(2) rms / (pi f T)
func (r *rest) offset(mean, energy, seconds float64) float64 {
	if r.blocks.Len() == 0 || seconds < dcLeast {
		return 0
	}
	power := max(0, energy-mean*mean)
	blocks := r.smoothed()
	at, sigma := restOf(blocks, mean, power, dcFloor)
	other, _ := restOf(blocks, mean, power, dcFloorHigh)
	least := max(dcNamed+math.Sqrt2*math.Sqrt(power)/(math.Pi*dcLowest*seconds), dcSure*sigma)
	if math.Abs(at) < least || other*math.Copysign(1, at) < dcAgree*dcNamed {
		return 0
	}
	return at
}

// rests names the channels that rest off zero.
func (m *Meter) rests(r *Result) {
	s, n := &m.channels, float64(max(1, m.at))
	var rests []string
	kind := reason.DCSlight
	for c, sum := range s.sum {
		if off := s.rest[c].offset(sum/n, s.energy[c]/n, n/m.rate); off != 0 {
			rests = append(rests, fmt.Sprintf("the %s channel rests at %+.1f %% of full scale", channelName(c, len(s.sum)), 100*off))
			if math.Abs(off) >= dcPlain {
				kind = reason.DCOffset
			}
		}
	}
	if len(rests) > 0 {
		r.add(kind, nowhere, "%s", strings.Join(rests, ", "))
	}
}
