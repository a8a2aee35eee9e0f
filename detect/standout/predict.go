package standout

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/dsp"
)

// predictor says where the balance of another master of the references' kind would
// lie. How much each figure differs and how one goes with another are learnt apart (Barnard,
// McCulloch & Meng, Statistica Sinica 10, 2000): the first soon, as records of one kind differ
// more or less than those of another, figure by figure; the second slowly, as it is much the
// same in all. The prediction is a t distribution with dof degrees of freedom. References
// that are far off count less, as in the multivariate t (Lange, Little & Taylor, JASA 84, 1989).
type predictor struct {
	index  []int     // figures that all have
	centre []float64 // dB
	// parts are the levels of the parts of the spectrum that make the loudness, dB against it.
	parts   [subShare]float64
	learnt  spreads
	inverse mat.SymDense // of the covariance of a prediction
	dof     float64
	ways    []way
	check   float64 // the odds from which something is said, see oddsCheck
	other   other
	made    makings
}

// spreads are what the variance of each figure comes from.
type spreads struct {
	prior  []float64 // priorVariances times the variance that is expected
	weight []float64 // priorVariances
	sum    []float64 // of the references' squares, in dB squared
	total  float64   // of the references' weights
}

// variance of a figure, without a reference of this weight that lies d off the centre; a weight
// of 0 leaves none out.
func (s *spreads) variance(i int, d, weight float64) float64 {
	left := s.total - weight
	sum := math.Max(0, s.sum[i]-weight*d*d*s.total/left)
	return (s.prior[i] + sum) / (s.weight[i] + math.Max(0, left-1))
}

// priorDOF are the degrees of freedom that the prior brings: more than it weighs, as it comes from many
// masters of nine kinds.
const priorDOF = 20

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
// must have them. made are their peaks, in step, or nil. apart is how much further off a track
// may lie that is of another kind of dance music than they, in variances of masters of one kind.
func predict(refs []tone, made []peaks, index []int, apart float64) (*predictor, bool) {
	k, n := len(index), len(refs)
	p := &predictor{index: index, centre: make([]float64, k), dof: priorDOF + float64(n-1), made: learnPeaks(made, -1),
		check: oddsCheck + oddsPerReference*float64(n)}
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
	inverse := mat.NewSymDense(k, nil)
	cov.CopySym(general)
	var weights []float64
	for range reweightings {
		if !invert(inverse, cov) {
			return nil, false
		}
		var total float64
		weights, total = p.weigh(refs, inverse)
		p.recentre(refs, weights, total)
		p.learn(refs, weights, total)
		p.covary(cov, refs, weights)
	}
	cov.ScaleSym(1+1/p.learnt.total, cov)
	loosen(cov, index)
	p.divide(refs, weights)
	if !p.expect(cov) {
		return nil, false
	}
	cov.ScaleSym(p.eachOther(refs, made, weights).widen(p), cov)
	p.add(cov, apart)
	return p, p.expect(cov) && p.doubt(cov)
}

// expect sets what the covariance of a prediction gives.
func (p *predictor) expect(cov *mat.SymDense) bool {
	inverse := mat.NewSymDense(len(p.index), nil)
	if !invert(inverse, cov) {
		return false
	}
	p.inverse = *inverse
	p.ways = p.allWays()
	return true
}

// add is so many times the prior's covariance more, but for the level: kinds of music differ in
// their balance as masters of one kind do, only more.
func (p *predictor) add(cov *mat.SymDense, times float64) {
	for i, a := range p.index {
		for j, b := range p.index[:i+1] {
			if a != loud && b != loud {
				cov.SetSym(i, j, cov.At(i, j)+times*prior(a, b))
			}
		}
	}
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

// learn works out what the variances come from. How much more or less than masters in general
// these references differ on the whole is seen from all k figures together before each of them
// tells by itself:
//
//	s = (a + 1/k sum_i min(q_i / v_i, most)) / (a + sum w - 1),  q_i = sum w (x_i - c_i)^2
func (p *predictor) learn(refs []tone, weights []float64, total float64) {
	k := len(p.index)
	l := spreads{make([]float64, k), make([]float64, k), make([]float64, k), total}
	scale, most := priorScale, mostRatioOfSpread*(total-1)
	for i, a := range p.index {
		for r, w := range weights {
			d := refs[r][a] - p.centre[i]
			l.sum[i] += w * d * d
		}
		scale += math.Min(l.sum[i]/prior(a, a), most) / float64(k)
	}
	scale = math.Max(leastScale, scale/(priorScale+total-1))
	for i, a := range p.index {
		l.weight[i] = priorVariances
		if varied&(1<<a) != 0 {
			l.weight[i] = priorLow
		}
		l.prior[i] = l.weight[i] * scale * prior(a, a)
	}
	p.learnt = l
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

// covary is the covariance: the correlations with the prior's in them, times the spreads.
//
//	R = (nu R0 + sum w z z') / (nu + sum w - 1),  z = (x - c) / s
func (p *predictor) covary(cov *mat.SymDense, refs []tone, weights []float64) {
	spread := make([]float64, len(p.index))
	for i := range spread {
		spread[i] = math.Sqrt(p.learnt.variance(i, 0, 0))
	}
	for i, a := range p.index {
		for j, b := range p.index[:i+1] {
			s := priorMasters * priorCorrelation[a][b] * spread[i] * spread[j]
			for r, w := range weights {
				s += w * (refs[r][a] - p.centre[i]) * (refs[r][b] - p.centre[j])
			}
			cov.SetSym(i, j, s)
		}
	}
	unit := make([]float64, len(p.index))
	for i := range unit {
		unit[i] = spread[i] / math.Sqrt(cov.At(i, i))
	}
	for i := range p.index {
		for j := range i + 1 {
			cov.SetSym(i, j, cov.At(i, j)*unit[i]*unit[j])
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
