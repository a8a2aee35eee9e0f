package standout

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/dsp"
)

// predictor says where the balance of another master of the references' kind would
// lie. The covariance is that of an inverse Wishart distribution whose prior is worth
// priorMasters references (Gelman et al., Bayesian Data Analysis, 3rd edition, 3.6); the
// prediction is then a t distribution with dof degrees of freedom. References that
// are far off count less, as in the multivariate t (Lange, Little & Taylor, JASA 84,
// 1989).
type predictor struct {
	index   []int        // figures that all have
	centre  []float64    // dB
	inverse mat.SymDense // of the covariance of a prediction
	dof     float64
	ways    []way
}

// priorDOF are the degrees of freedom that the prior brings: more than its weight, as it
// comes from many masters of nine kinds (TestMovesKeepTheirChance).
const priorDOF = 2 * priorMasters

// reweightings of the references; more change nothing that is heard.
const reweightings = 2

// farSquared is the squared Mahalanobis distance from which a reference counts less:
// the 95 % point of chi squared with seven degrees of freedom.
const farSquared = 14.07

// predict learns from the references those figures that index names. Every reference
// must have them.
func predict(refs []tone, index []int) (*predictor, bool) {
	k, n := len(index), len(refs)
	p := &predictor{index: index, centre: make([]float64, k), dof: priorDOF + float64(n-1)}
	weights, column := make([]float64, n), make([]float64, n)
	for i := range weights {
		weights[i] = 1
	}
	cov, inverse := mat.NewSymDense(k, nil), mat.NewSymDense(k, nil)
	for i, a := range index {
		for j, b := range index[:i+1] {
			cov.SetSym(i, j, prior(a, b))
		}
		for r := range refs {
			column[r] = refs[r][a]
		}
		p.centre[i] = dsp.Median(column)
	}
	var chol mat.Cholesky
	d, total := make([]float64, k), float64(n)
	for range reweightings {
		if !chol.Factorize(cov) || chol.InverseTo(inverse) != nil {
			return nil, false
		}
		total = 0
		for r := range refs {
			p.from(refs[r], d)
			weights[r] = farSquared / math.Max(quadratic(inverse, d, d), farSquared)
			total += weights[r]
		}
		p.recentre(refs, weights, total)
		p.spread(cov, refs, weights, total)
	}
	cov.ScaleSym((1+1/total)*noise(total), cov)
	loosen(cov, index)
	if !chol.Factorize(cov) || chol.InverseTo(inverse) != nil {
		return nil, false
	}
	p.inverse = *inverse
	p.ways = p.allWays()
	return p, true
}

// noise is by how much a covariance that was itself estimated makes a weighted
// difference look surer than it is, as a factor of the variance:
//
//	1 + 8 (n-1) / (nu + n - 1)^2
//
// The 8 is from simulation on normal data (TestMovesKeepTheirChance).
func noise(references float64) float64 {
	nu := priorMasters + references - 1
	return 1 + 8*(references-1)/(nu*nu)
}

// from is how far x lies from the centre, into d.
func (p *predictor) from(x tone, d []float64) {
	for i, a := range p.index {
		d[i] = x[a] - p.centre[i]
	}
}

func (p *predictor) recentre(refs []tone, weights []float64, total float64) {
	for i, a := range p.index {
		sum := 0.0
		for r, w := range weights {
			sum += w * refs[r][a]
		}
		p.centre[i] = sum / total
	}
}

// spread is the covariance with the prior in it:
//
//	S = (nu S0 + sum w (x-c)(x-c)') / (nu + sum w - 1)
func (p *predictor) spread(cov *mat.SymDense, refs []tone, weights []float64, total float64) {
	for i, a := range p.index {
		for j, b := range p.index[:i+1] {
			s := priorMasters * prior(a, b)
			for r, w := range weights {
				s += w * (refs[r][a] - p.centre[i]) * (refs[r][b] - p.centre[j])
			}
			cov.SetSym(i, j, s/(priorMasters+total-1))
		}
	}
}

// quadratic is x' M y.
func quadratic(m *mat.SymDense, x, y []float64) float64 {
	s := 0.0
	for i, a := range x {
		for j, b := range y {
			s += a * m.At(i, j) * b
		}
	}
	return s
}
