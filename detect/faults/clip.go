package faults

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// clipRun is the least number of samples at the ceiling that counts.
	clipRun = 3
	// clipLSB is how far from the ceiling a clipped sample may lie, in steps of
	// the source or of 16 bit if that is coarser: gain and dither after the clip
	// move it by one or two.
	clipLSB = 2
	// clipBreak is how much a sample beside a run must fall short of the ceiling,
	// in units of the tolerance. A sine that only touches its ceiling, its peak cut by
	// the quantiser perhaps, has 3 or more samples within 2.5 tolerances of its
	// peak only if it falls by at most 10 of them at the next, as
	//
	//	a(h+1)^2 <= 4 a h^2 for h >= 1
	//
	// A clipped wave breaks off.
	clipBreak = 12
	// squareDrop is the drop, as a share of the ceiling, that on both sides of a
	// run makes it the top of a square wave instead of a clipped one.
	squareDrop = 0.9
	// clipQuiet is the lowest ceiling that is looked at, -20 dBFS: below lies
	// quantised quiet material, not a clipped and lowered master.
	clipQuiet = 0.1

	// A few short runs are inaudible and in most loud masters. Named is a track
	// with more than this share of its samples in runs, about 25 runs a minute
	// (ours, no source), and held back one whose share is that of a
	// sine driven 1 % of the time into the ceiling.
	clipNamed    = 0.00005
	clipHeld     = 0.005
	clipLeastRun = 10
)

// clipper counts runs at the ceiling of one channel and one sign.
type clipper struct {
	tolerance float32
	ceiling   float32
	run       int     // samples of the open run
	start     int64   // place of the open run
	drop      float32 // from the ceiling to the sample before it
	runs      int
	samples   int64 // in runs
	longest   int
	places    []int64
}

func newClipper(bits int) clipper {
	lsb := 1.0 / 32768
	if bits > 0 && bits < 16 {
		lsb = math.Ldexp(1, 1-bits)
	}
	// Less than the lowest ceiling, so that whatever is looked at raises the ceiling to itself: with
	// fewer than six bits it would be more.
	return clipper{tolerance: float32(min(clipLSB*lsb, clipQuiet/2)), places: make([]int64, 0, maxPlaces)}
}

// cell looks at the n samples of x from i on, whose highest value times sign is
// top. base is the place of x[0] in the track.
func (c *clipper) cell(x []float32, i, n int, sign, top float32, base int64) {
	if top < c.ceiling-c.tolerance && c.run == 0 || top < clipQuiet && c.run == 0 {
		return
	}
	for j := i; j < i+n; j++ {
		v := x[j] * sign
		if v > c.ceiling+c.tolerance {
			c.raise(v)
		}
		if v >= c.ceiling-c.tolerance && v >= clipQuiet {
			if c.run == 0 {
				c.start = base + int64(j)
				c.drop = c.ceiling - x[j-1]*sign
			}
			c.run++
		} else if c.run > 0 {
			c.close(c.ceiling - v)
		}
	}
}

// raise starts anew under a higher ceiling.
func (c *clipper) raise(v float32) {
	*c = clipper{tolerance: c.tolerance, ceiling: v, places: c.places[:0]}
}

// close ends a run; after is the drop to the sample behind it.
func (c *clipper) close(after float32) {
	broken := max(c.drop, after) >= clipBreak*c.tolerance
	square := min(c.drop, after) >= squareDrop*c.ceiling
	if c.run >= clipRun && broken && !square {
		c.runs++
		c.samples += int64(c.run)
		c.longest = max(c.longest, c.run)
		if len(c.places) < cap(c.places) {
			c.places = append(c.places, c.start)
		}
	}
	c.run = 0
}

// clipped sums up the clippers of all channels.
func (m *Meter) clipped(r *Result) {
	var samples int64
	var longest int
	var ceiling float32
	for i := range m.clips {
		c := &m.clips[i]
		r.ClippedRuns += c.runs
		samples += c.samples
		longest = max(longest, c.longest)
		if c.runs > 0 {
			ceiling = max(ceiling, c.ceiling)
		}
		for _, p := range c.places {
			r.ClippedAt = append(r.ClippedAt, m.seconds(p))
		}
	}
	r.ClippedAt = firstPlaces(r.ClippedAt)
	share := float64(samples) / float64(max(1, m.at*int64(len(m.buf))))
	if r.ClippedRuns < clipLeastRun || share < clipNamed {
		return
	}
	kind := reason.Clipped
	if share >= clipHeld {
		kind = reason.ClippedHard
	}
	r.add(kind, r.ClippedAt[0], "%d runs of %d or more samples at a ceiling of %.2f dBFS, the longest %.1f ms, %s of the track",
		r.ClippedRuns, clipRun, decibels(float64(ceiling)), 1000*float64(longest)/m.rate, percent(share))
}

// percent words a share.
func percent(share float64) string {
	if share >= 0.001 {
		return fmt.Sprintf("%.1f %%", 100*share)
	}
	return fmt.Sprintf("%.3f %%", 100*share)
}
