package continuity

import "math"

// sideways follows the difference of the channels at half the rate,
//
//	u[i] = (l[2i] - r[2i]) + (l[2i+1] - r[2i+1]),  d[i] = u[i] - 2 u[i-1] + u[i-2]
//
// whose second difference d is small between hats, as most of the top of a mix is in
// the middle, and high where one channel is changed within a sample.
type sideways struct{ u, v float32 }

// cell gives the sum of l*r and the highest d squared, which is found as a whole number:
// the bits of positive numbers are in the order of the numbers.
func (s *sideways) cell(l, r []float32) (cross, most float32) {
	var p, q float32
	var high, higher uint32
	u, v := s.u, s.v
	for len(l) >= 4 && len(r) >= 4 {
		a, b := (*[4]float32)(l), (*[4]float32)(r)
		p += a[0] * b[0]
		q += a[1] * b[1]
		p += a[2] * b[2]
		q += a[3] * b[3]
		w := (a[0] - b[0]) + (a[1] - b[1])
		step := w - u
		d := step - v
		high = max(high, math.Float32bits(d*d))
		u = (a[2] - b[2]) + (a[3] - b[3])
		v = u - w
		d = v - step
		higher = max(higher, math.Float32bits(d*d))
		l, r = l[4:], r[4:]
	}
	for i, x := range l {
		p += x * r[i]
	}
	s.u, s.v = u, v
	return p + q, math.Float32frombits(max(high, higher))
}

const (
	// editReach is how many cells to either side, but for its neighbours, must lie under
	// editRatio of the second difference of the side in the cell of an edit. At 1.6 it
	// leaves some two places a second to be looked at, and half of all edits.
	editReach, editRatio = 3, 1.3
	// flipRatio is what a cell must have of that to be looked at for a change of sign alone,
	// highest or not. Prediction is asked only where second differences are worth it.
	flipRatio = 0.7
	// editLeast is the least second difference, -60 dB of full scale.
	editLeast = 1e-3
	// maxEdits bounds what is found; a track with more is made of such edits.
	maxEdits = 256
)

// edit is a place where what follows in a signal is that signal times gain.
type edit struct {
	at   int64
	what int // side, left or right
	gain float64
	// better is how many times less, in power, the prediction fails with the gain.
	better float64
	// behind is the same of a change of sides, for the prediction of what lies before from what
	// lies behind.
	behind float64
}

// What an edit changes: the difference of the channels, or one of them.
const (
	editLeft = iota
	editRight
	editSide
	editWave // the difference, and the sum fails too: a wave that jumps, and no edit
)

// edits looks for them: first for a cell that stands out, then by linear prediction.
type edits struct {
	cell    int
	side    sideways
	ring    [2*editReach + 1]float32
	cells   int64
	pending []place
	seen    seen
	look    *bridge
	found   []edit
	more    bool
}

// place is the first sample of a cell that is to be looked at, for all edits or for a
// change of sign alone.
type place struct {
	at  int64
	all bool
}

// maxPlaces bounds those that wait for what follows them.
const maxPlaces = 1 << 10

func newEdits(cell int) *edits {
	return &edits{cell: cell, look: newBridge(), pending: make([]place, 0, maxPlaces)}
}

// take takes the highest second difference of the cell that begins at a sample.
func (e *edits) take(most float32, at int64) {
	const n = len(e.ring)
	e.ring[e.cells%int64(n)] = most
	if e.cells++; e.cells < int64(n) {
		return
	}
	// The cell in the middle is the one that is judged.
	middle := e.cells - 1 - editReach
	v := e.ring[middle%int64(n)]
	if v < editLeast*editLeast {
		return
	}
	around, highest := float32(0), true
	for d := int64(-editReach); d <= editReach; d++ {
		o := e.ring[(middle+d+int64(n))%int64(n)]
		switch {
		case d < -1 || d > 1:
			around = max(around, o)
		case o > v || d == -1 && o == v:
			highest = false
		}
	}
	if v >= flipRatio*flipRatio*around && len(e.pending) < maxPlaces {
		e.pending = append(e.pending, place{at - editReach*int64(e.cell), highest && v >= editRatio*editRatio*around})
	}
}

// settle looks at the pending places that lie in the buffer, whose first sample is base,
// with enough on both sides; at the end of the track the others are dropped.
func (e *edits) settle(buf [][]float32, base int64, to int) {
	kept := e.pending[:0]
	for _, p := range e.pending {
		i := int(p.at - base)
		switch {
		case i+e.cell+bridgeBehind > to:
			kept = append(kept, p)
		case i-bridgeBefore < 0 || !e.seen.worth(buf[0][:to], buf[1][:to], i, e.cell, p.all):
		default:
			if f, ok := e.look.at(buf[0][:to], buf[1][:to], i, e.cell); ok && (p.all || f.what == editSide && f.turns()) {
				f.at += base
				e.keep(f)
			}
		}
	}
	e.pending = kept
}

// keep adds an edit, which two cells beside each other may both show; what fades in from
// nearly nothing, or stops, is none.
func (e *edits) keep(f edit) {
	if k := len(e.found) - 1; k >= 0 && e.found[k].what == f.what && f.at-e.found[k].at < int64(e.cell) {
		return
	}
	if size := math.Abs(f.gain); size < lessFrom || size > 1/lessFrom {
		return
	}
	if len(e.found) == maxEdits {
		e.more = true
		return
	}
	e.found = append(e.found, f)
}
