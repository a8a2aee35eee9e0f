package loudness

import "dubgauge/detect/dsp"

// mostSteps are held: 2.9 hours at 10 ms a step. Then two steps are made one, and what
// follows comes in steps of that length: a recording takes no more memory the longer it is.
// A forecast of limiting by steps of 40 ms, as long as a kick, is off by 0.4 LU.
const mostSteps = 1 << 20

// energies are those of equal steps along a track. The zero value is empty.
type energies struct {
	step    dsp.Long[float32]
	halved  int     // times
	have    int     // steps of the meter in the one at hand
	pending float32 // their energy
}

// fold is how many steps of the meter make one.
func (e *energies) fold() int { return 1 << e.halved }

// add takes the energy of the meter's next step in.
func (e *energies) add(v float32) {
	e.pending += v
	if e.have++; e.have < e.fold() {
		return
	}
	e.step.Append(e.pending)
	e.pending, e.have = 0, 0
	if e.step.Len() == mostSteps {
		e.halve()
	}
}

// halve makes one step of every two.
func (e *energies) halve() {
	n := e.step.Len() / 2
	for i := range n {
		*e.step.At(i) = *e.step.At(2 * i) + *e.step.At(2*i + 1)
	}
	e.step.Cut(n)
	e.halved++
}
