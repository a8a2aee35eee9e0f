package faults

import (
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// clickJump is the least jump from one sample to the next, of full scale.
	clickJump = 0.06
	// clickRatio is how far the jump must stand out from every other difference
	// within clickReach samples on both sides. The steepest music at 44.1 kHz rises
	// over several samples, so that its neighbours rise too.
	clickRatio = 6
	clickReach = 32 // samples
	// clickLevel is the least level on both sides, RMS in dBFS, and clickBalance the
	// most that the two may differ: a note that starts or is cut off is no click.
	clickLevel, clickBalance = -40.0, 20.0 // dB
	// clickContrast is how far the energy of the differences in the jump's cell must
	// lie above that of every cell within clickAlone on both sides: the edges of a
	// raw saw or square wave, however slow, come at least 20 times a second.
	clickContrast = 2
	clickAlone    = 0.06 // s
	// clickMost is the number of jumps in a track above which they belong to it: a
	// raw square or saw wave, a hard-edged sample that comes again and again.
	clickMost = 20
	maxJumps  = 256
)

// clicks looks for jumps in the waveform that nothing around them explains: a lost
// or damaged frame, a bad edit, a wrong sample.
type clicks struct {
	at      []gap // all channels, in order of their place; length is unused
	more    bool
	around  int         // cells within clickAlone
	slopes  [][]float32 // per channel: the cells' slopes before, a ring
	next    int
	pending [][]jumped // per channel: those whose surroundings are to come
}

// clickCells bounds the cells of clickAlone for rates that no music has.
const clickCells = 4096

// jumped is a jump that may turn out not to be alone.
type jumped struct {
	at    int64
	slope float32
	left  int // cells still to look at
}

func newClicks(channels int, rate float64, cell int) clicks {
	k := clicks{around: max(1, min(clickCells, int(clickAlone*rate/float64(cell)))), slopes: make([][]float32, channels), pending: make([][]jumped, channels)}
	for c := range k.slopes {
		k.slopes[c] = make([]float32, k.around)
		k.pending[c] = make([]jumped, 0, k.around)
	}
	return k
}

func (k *clicks) chunk(buf [][]float32, stats [][]cell, cells, size int, at int64, rate float64) {
	for i := range cells {
		for c := range buf {
			// The cell before, as both of its neighbours must be known.
			s := stats[c][pastCells+i-2 : pastCells+i+1]
			if len(k.pending[c]) > 0 {
				k.settle(c, s[2].slope, rate)
			}
			if s[1].slope >= clickJump*clickJump && s[1].slope*float32(size) >= clickRatio*clickRatio*max(s[0].slope, s[2].slope) &&
				standsOut(s[1].slope, k.slopes[c]) {
				from := (pastCells + i - 1) * size
				if j, ok := jump(buf[c], from, size, from+size+s[2].n); ok {
					k.pending[c] = append(k.pending[c], jumped{at + int64(j-pastCells*size), s[1].slope, k.around})
				}
			}
			k.slopes[c][k.next] = s[1].slope
		}
		k.next = (k.next + 1) % k.around
	}
}

// standsOut tells whether a slope lies clickContrast above every other.
func standsOut(slope float32, others []float32) bool {
	for _, v := range others {
		if !(slope >= clickContrast*v) {
			return false
		}
	}
	return true
}

// settle drops pending jumps of the channel that a new cell's slope comes near, and
// keeps those that have been alone long enough.
func (k *clicks) settle(c int, slope float32, rate float64) {
	k.pending[c] = slices.DeleteFunc(k.pending[c], func(j jumped) bool { return j.slope < clickContrast*slope })
	for i := range k.pending[c] {
		k.pending[c][i].left--
	}
	for len(k.pending[c]) > 0 && k.pending[c][0].left <= 0 {
		k.keep(k.pending[c][0].at, rate)
		k.pending[c] = slices.Delete(k.pending[c], 0, 1)
	}
}

// jump looks for a lone jump, or a lone wrong sample, in the cell at x[from]; x is
// known up to end.
func jump(x []float32, from, size, end int) (int, bool) {
	at, most := steepest(x, from, size)
	reach := min(clickReach, size)
	lo, hi := at-reach, at+reach
	if hi >= end || most < clickJump {
		return 0, false
	}
	// A wrong sample jumps there and back.
	back := -1
	if at+1 <= hi && (x[at]-x[at-1])*(x[at+1]-x[at]) < 0 && abs(x[at+1]-x[at]) > most/2 {
		back = at + 1
	}
	var before, after float64
	for i := lo; i <= hi; i++ {
		if i != at && i != back && abs(x[i]-x[i-1])*clickRatio > most {
			return 0, false
		}
		if i < at {
			before += float64(x[i]) * float64(x[i])
		} else if i > at {
			after += float64(x[i]) * float64(x[i])
		}
	}
	b, a := 10*math.Log10(before/float64(at-lo)), 10*math.Log10(after/float64(hi-at))
	return at, b > clickLevel && a > clickLevel && math.Abs(a-b) < clickBalance
}

// steepest is the largest step in the cell at x[from], and where.
func steepest(x []float32, from, size int) (at int, most float32) {
	at = from
	for i := from; i < from+size; i++ {
		if d := abs(x[i] - x[i-1]); d > most {
			at, most = i, d
		}
	}
	return at, most
}

func abs(x float32) float32 {
	if x < 0 {
		return -x
	}
	return x
}

// keep adds a place; the same jump in another channel counts once.
func (k *clicks) keep(at int64, rate float64) {
	for _, g := range k.at[max(0, len(k.at)-4):] {
		if math.Abs(float64(g.start-at)) < cellSeconds*rate {
			return
		}
	}
	if len(k.at) == maxJumps {
		k.more = true
		return
	}
	k.at = append(k.at, gap{start: at})
}

// clicked names the jumps. In a track that is clipped hard they prove nothing.
func (m *Meter) clicked(r *Result) {
	k := &m.clicks
	for _, pending := range k.pending {
		for _, j := range pending {
			k.keep(j.at, m.rate)
		}
	}
	if slices.ContainsFunc(r.Faults, func(f Fault) bool { return f.Kind == reason.ClippedHard }) {
		return
	}
	slices.SortFunc(k.at, func(a, b gap) int { return int(a.start - b.start) })
	if k.more || len(k.at) > clickMost {
		return
	}
	lone := withoutRhythm(k.at, m.rate)
	if len(lone) == 0 {
		return
	}
	at := make([]float64, len(lone))
	for i, g := range lone {
		at[i] = m.seconds(g.start)
	}
	r.add(reason.Click, at[0], "%s in the waveform, as a damaged frame or a bad edit leaves: %s", reason.Counted(len(at), "jump"), reason.Places(at))
	r.Faults[len(r.Faults)-1].Count = len(at)
}
