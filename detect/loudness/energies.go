package loudness

// mostSteps are held: 43 minutes at 10 ms a step. Then two steps are made one, and what
// follows comes in steps of that length: a set takes no more memory the longer it is.
const mostSteps = 1 << 18

// energies are those of equal steps along a track. The zero value is empty.
type energies struct {
	step    []float32
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
	e.step = append(e.step, e.pending)
	e.pending, e.have = 0, 0
	if len(e.step) == mostSteps {
		e.halve()
	}
}

// halve makes one step of every two.
func (e *energies) halve() {
	for i := range len(e.step) / 2 {
		e.step[i] = e.step[2*i] + e.step[2*i+1]
	}
	e.step = e.step[:len(e.step)/2]
	e.halved++
}
