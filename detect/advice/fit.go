package advice

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/reason"
)

// unknowns of a shape: its gain, its frequency, and of a bell the width.
func unknowns(s shape) int {
	if s.filter == reason.Bell {
		return 3
	}
	return 2
}

// Scales of the unknowns: a step of one in each changes a curve about as much.
const (
	octaveStep = 0.3
	qStep      = 0.4 // of the natural logarithm of Q
)

// moved is a shape with one of its unknowns moved.
func (s shape) moved(unknown int, by float64) shape {
	switch unknown {
	case 0:
		s.dB += by
	case 1:
		s.octave += octaveStep * by
	default:
		s.q *= math.Exp(qStep * by)
	}
	return s
}

// refine improves a model by steps of Levenberg and Marquardt (J. SIAM 11, 1963), within
// what may be advised.
func (p *problem) refine(m model, steps int) model {
	m.cost = p.cost(&m)
	damping := 0.01
	for range steps {
		step, ok := p.step(&m, damping)
		if !ok {
			return m
		}
		next := model{level: m.level + step[0], shapes: make([]shape, len(m.shapes))}
		at := 1
		for i, s := range m.shapes {
			for u := range unknowns(s) {
				s = s.moved(u, step[at])
				at++
			}
			next.shapes[i] = s.within()
		}
		next.cost = p.cost(&next)
		if !(next.cost < m.cost) {
			damping *= 8
			continue
		}
		done := m.cost-next.cost < enough*m.cost
		m = next
		damping = max(1e-6, damping/6)
		if done {
			return m
		}
	}
	return m
}

// enough is the share of the sum of squares that a step must still gain: less moves no
// filter by what is heard.
const enough = 1e-4

// nudge is by how much an unknown is moved to find what it does.
const nudge = 1e-4

// step solves the normal equations of a model for a change of its unknowns.
func (p *problem) step(m *model, damping float64) ([]float64, bool) {
	n := 1
	for _, s := range m.shapes {
		n += unknowns(s)
	}
	a, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	a.SetSym(0, 0, 1/(p.loose*p.loose))
	g.SetVec(0, (p.expected(m)-m.level)/(p.loose*p.loose))
	left, slopes := p.left(m), p.slopes(m, n)
	for i, w := range p.weight {
		for j := range slopes {
			x := w * slopes[j][i]
			g.SetVec(j, g.AtVec(j)+x*left[i])
			for k := range j + 1 {
				a.SetSym(j, k, a.At(j, k)+x*slopes[k][i])
			}
		}
	}
	for j := range n {
		a.SetSym(j, j, a.At(j, j)*(1+damping)+1e-9)
	}
	var chol mat.Cholesky
	var out mat.VecDense
	if !chol.Factorize(a) || chol.SolveVecTo(&out, g) != nil {
		return nil, false
	}
	return out.RawVector().Data, true
}

// slopes are by how much each band changes with each of the n unknowns of a model.
func (p *problem) slopes(m *model, n int) [][]float64 {
	out := make([][]float64, n)
	for j := range out {
		out[j] = make([]float64, len(p.band))
	}
	for i := range p.band {
		out[0][i] = 1
	}
	at := 1
	here := make([]float64, len(p.band))
	for _, s := range m.shapes {
		s.gains(p.band, here)
		for u := range unknowns(s) {
			s.moved(u, nudge).gains(p.band, out[at])
			for i, v := range here {
				out[at][i] = (out[at][i] - v) / nudge
			}
			at++
		}
	}
	return out
}
