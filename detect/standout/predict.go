package standout

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/dsp"
)

// predictor says where the balance of another master of the references' kind would
// lie. The covariance is that of an inverse Wishart distribution whose prior is worth
// priorMasters references (Gelman et al., Bayesian Data Analysis, 3rd edition, 3.6) and is
// first scaled to how much these references differ; the prediction is then a t
// distribution with dof degrees of freedom. References that are far off count less, as in
// the multivariate t (Lange, Little & Taylor, JASA 84, 1989).
type predictor struct {
	index  []int     // figures that all have
	centre []float64 // dB
	// parts are the levels of the parts of the spectrum that make the loudness, dB against it.
	parts   [subShare]float64
	inverse mat.SymDense // of the covariance of a prediction
	dof     float64
	ways    []way
	check   float64 // the odds from which something is said, see oddsCheck
}

// priorDOF are the degrees of freedom that the prior brings: more than its weight, as it
// comes from many masters of nine kinds.
const priorDOF = 2 * priorMasters

// reweightings of the references; more change nothing that is heard.
const reweightings = 3

// farSquared is the squared Mahalanobis distance in k figures from which a reference counts
// less: the 95 % point of chi squared with so many degrees of freedom (Wilson & Hilferty,
// Proceedings of the National Academy of Sciences 17, 1931).
func farSquared(k int) float64 {
	const point = 1.6449 // of the normal distribution
	v := 2 / (9 * float64(k))
	return float64(k) * math.Pow(1-v+point*math.Sqrt(v), 3)
}

// predict learns from the references those figures that index names. Every reference
// must have them.
func predict(refs []tone, index []int) (*predictor, bool) {
	k, n := len(index), len(refs)
	p := &predictor{index: index, centre: make([]float64, k), dof: priorDOF + float64(n-1), check: oddsCheck + oddsPerReference*float64(n)}
	general, cov := mat.NewSymDense(k, nil), mat.NewSymDense(k, nil)
	column := make([]float64, n)
	for i, a := range index {
		for j, b := range index[:i+1] {
			general.SetSym(i, j, prior(a, b))
		}
		for r := range refs {
			column[r] = refs[r][a]
		}
		p.centre[i] = dsp.Median(column)
	}
	ordinary, inverse := mat.NewSymDense(k, nil), mat.NewSymDense(k, nil)
	if !invert(ordinary, general) {
		return nil, false
	}
	cov.CopySym(general)
	total := float64(n)
	var weights []float64
	for range reweightings {
		if !invert(inverse, cov) {
			return nil, false
		}
		weights, total = p.weigh(refs, inverse)
		p.recentre(refs, weights, total)
		p.spread(cov, general, refs, weights, total, p.scale(refs, ordinary, weights, total))
	}
	cov.ScaleSym(1+1/total, cov)
	loosen(cov, index)
	if !invert(inverse, cov) {
		return nil, false
	}
	p.inverse = *inverse
	p.divide(refs, weights)
	p.ways = p.allWays()
	p.widen(refs, weights, total)
	return p, true
}

// invert puts the inverse of a covariance into another matrix; false where it has none.
func invert(inverse, cov *mat.SymDense) bool {
	var chol mat.Cholesky
	return chol.Factorize(cov) && chol.InverseTo(inverse) == nil
}

// weigh gives each reference its weight, and their sum.
func (p *predictor) weigh(refs []tone, inverse *mat.SymDense) (weights []float64, total float64) {
	weights, d := make([]float64, len(refs)), make([]float64, len(p.index))
	far := farSquared(len(p.index))
	for r := range refs {
		p.from(refs[r], d)
		weights[r] = far / math.Max(quadratic(inverse, d), far)
		total += weights[r]
	}
	return weights, total
}

// scale is how much more or less than masters in general these references differ, as a
// factor of the variance, from all k figures together:
//
//	(a + sum w (x-c)' S0^-1 (x-c)) / (a + k (sum w - 1))
func (p *predictor) scale(refs []tone, ordinary *mat.SymDense, weights []float64, total float64) float64 {
	sum, d := priorScale, make([]float64, len(p.index))
	for r, w := range weights {
		p.from(refs[r], d)
		sum += w * quadratic(ordinary, d)
	}
	return math.Max(leastScale, sum/(priorScale+float64(len(p.index))*(total-1)))
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

// divide works out the parts: means over the references that have them, minus infinity where
// none has.
func (p *predictor) divide(refs []tone, weights []float64) {
	for f := range p.parts {
		sum, total := 0.0, 0.0
		for r, w := range weights {
			if v := refs[r][f]; !math.IsNaN(v) {
				sum += w * v
				total += w
			}
		}
		p.parts[f] = math.Inf(-1)
		if total > 0 {
			p.parts[f] = sum / total
		}
	}
}

// spread is the covariance with the prior in it:
//
//	S = (nu s S0 + sum w (x-c)(x-c)') / (nu + sum w - 1)
func (p *predictor) spread(cov, general *mat.SymDense, refs []tone, weights []float64, total, scale float64) {
	for i, a := range p.index {
		for j, b := range p.index[:i+1] {
			s := priorMasters * scale * general.At(i, j)
			for r, w := range weights {
				s += w * (refs[r][a] - p.centre[i]) * (refs[r][b] - p.centre[j])
			}
			cov.SetSym(i, j, s/(priorMasters+total-1))
		}
	}
}

// quadratic is x' M x, over the upper half of M, which is what is stored of it.
func quadratic(m *mat.SymDense, x []float64) float64 {
	raw := m.RawSymmetric()
	s := 0.0
	for i, a := range x {
		row := raw.Data[i*raw.Stride : i*raw.Stride+len(x)]
		sum := row[i] * a / 2
		for j := i + 1; j < len(row); j++ {
			sum += row[j] * x[j]
		}
		s += 2 * a * sum
	}
	return s
}
