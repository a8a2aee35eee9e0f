package continuity

import "math"

const (
	// fillMost is the level of a cell of what fills a gap, -46 dBFS: noise of -50 is over it in
	// none of 1,500 cells by chance. fillHeld is the mean square of the differences in a sample
	// that is held, of 16 bit with dither.
	fillMost, fillHeld = 2.5e-5, 4e-9
	// fillCells is the shortest such gap in cells, 17 ms; fillLongest the longest in seconds:
	// what plays as quietly for longer is a part of the arrangement.
	fillCells, fillLongest = 12, 4.0
	// fillLeast is the mean square of what is silence, with dither: -85 dBFS.
	fillLeast = 3e-9
	// fillOver is how far, in power, one of the two cells before it must lie over fillMost.
	fillOver = 8.0
	// fillEven is how far apart, in power, the differences of samples may lie in its first
	// fillCells cells and its last, 6 dB: noise is steady, tails are not.
	fillEven = 4.0
	// fillSlope is what the differences of samples must have of the power of noise: pink noise
	// has 0.4, a tape that comes to a stop next to nothing.
	fillSlope = 0.05
	// fillPeak is how far the samples of a fill go at most, in its RMS: of noise one in 150,000
	// goes farther.
	fillPeak = 4.5
	// maxFills bounds the list of a channel: a track with more is made of such gaps.
	maxFills = 256
)

// fills finds the gaps of one channel that are filled: with noise, or with one sample that
// is held.
type fills struct {
	rate    float64
	length  int
	open    bool               // a run of quiet cells, with sound at level before it
	cells   int                // of the run
	flat    int                // of these such as a held sample gives
	first   float32            // energy of the first fillCells
	steep   float32            // of the differences there
	all     float32            // energy
	ring    [fillCells]float32 // of the differences in the last ones
	loud    [2]float32         // mean squares of the two cells before the run
	gap     gap
	pending []gap
	found   []gap
	more    bool
}

func newFills(rate float64, cell int) fills {
	return fills{rate: rate, length: cell, pending: make([]gap, 0, 8)}
}

// cell takes the sums of n samples at a place, and tells whether a run has just become long
// enough for what lies before it to be measured.
func (f *fills) cell(c *cell, n int, at int64) (begins bool) {
	k := float32(n)
	if c.energy > fillMost*k && c.slope > fillHeld*k {
		if f.open && f.cells >= fillCells {
			f.end(at)
		}
		f.open, f.cells = false, 0
		f.loud[0], f.loud[1] = f.loud[1], c.energy/k
		return false
	}
	if f.cells == 0 {
		f.open = max(f.loud[0], f.loud[1]) >= fillMost*fillOver
		f.loud = [2]float32{}
		f.gap, f.all, f.flat = gap{start: at}, 0, 0
	}
	if c.slope <= fillHeld*k {
		f.flat++
	}
	f.ring[f.cells%fillCells] = c.slope
	f.all += c.energy
	if f.cells++; f.cells != fillCells {
		return false
	}
	f.first, f.steep = f.all, f.slope()
	return f.open
}

// slope is the energy of the differences of samples in the last fillCells.
func (f *fills) slope() (sum float32) {
	for _, e := range f.ring {
		sum += e
	}
	return sum
}

// end closes the run before a place: if it is even it waits for what follows.
func (f *fills) end(at int64) {
	last := f.slope()
	f.gap.end = at
	f.gap.level = float64(f.all) / float64(at-f.gap.start)
	f.gap.held = f.gap.held && f.flat == f.cells
	even := f.gap.held || last <= fillEven*f.steep && f.steep <= fillEven*last && f.steep >= fillSlope*f.first
	if even && float64(at-f.gap.start) <= fillLongest*f.rate && len(f.pending) < cap(f.pending) {
		f.pending = append(f.pending, f.gap)
	}
}

// begin measures what lies before the run, whose first fillCells cells end in place to of the
// view; its exact beginning lies in the cell before.
func (f *fills) begin(v view, to int) {
	i := to - fillCells*f.length
	f.gap.held = heldAt(v.x[i:to]) && (v.x[i] >= tiny || v.x[i] <= -tiny)
	within := f.within(v.x[i], float64(f.first)/float64(to-i))
	for i > 0 && within(v.x[i-1]) && to-i < (fillCells+1)*f.length {
		i--
	}
	f.gap.start, f.gap.before = v.base+int64(i), v.before(i, f.rate)
}

// within tells of samples whether they belong to the fill, of which one sample and the mean
// square are given.
func (f *fills) within(x float32, power float64) func(float32) bool {
	if f.gap.held {
		return func(y float32) bool { return y-x < tiny && x-y < tiny }
	}
	most := float32(max(tiny, fillPeak*math.Sqrt(power)))
	return func(y float32) bool { return y < most && y > -most }
}

// heldAt tells whether all samples are the same, but for dither.
func heldAt(x []float32) bool {
	for _, v := range x {
		if v-x[0] >= tiny || x[0]-v >= tiny {
			return false
		}
	}
	return true
}

// settle measures what follows the pending gaps as far as it lies in the view, at the end of
// the track all, and keeps those that both sides stand out from.
func (f *fills) settle(v view, end bool) {
	kept := f.pending[:0]
	for _, g := range f.pending {
		i := int(g.end - v.base)
		if i+f.length+v.edge > len(v.x) && !end {
			kept = append(kept, g)
			continue
		}
		f.gap.held = g.held
		within := f.within(v.x[i-1], g.level)
		for to := min(len(v.x), i+f.length); i < to && within(v.x[i]); {
			i++
		}
		g.end, g.after = v.base+int64(i), v.after(i, f.rate)
		f.keep(g)
	}
	f.pending = kept
}

// keep keeps a gap with sound at level on both sides.
func (f *fills) keep(g gap) {
	if g.level < fillLeast || decibels(min(g.before.far, g.after.far)) < soundDB {
		return
	}
	if len(f.found) == maxFills {
		f.more = true
		return
	}
	f.found = append(f.found, g)
}
