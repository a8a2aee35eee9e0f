package standout

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A track may be off because it is another kind of music and not because of an equaliser: a
// string quartet beside house is no house record with a dull top. So what is seen is held
// against a third reading, that of a track of any other kind, whose balance lies anywhere:
//
//	odds = sum_k u_k mean_s p(d - s a_k) / (p(d) + doubt p_other(d))
//
// doubt being how likely another kind is before its balance is looked at, from how unlike the
// references the track is in tempo and rhythm.
type other struct {
	inverse mat.SymDense // of the covariance of a track of any kind
	log     float64      // of the densities' ratio in the middle
}

const (
	// otherKinds is by how much more, in variances of masters of one kind, the balance of pieces
	// of all kinds differs: open pieces from chamber music to metal do by 3 to 5 standard
	// deviations in the figures of the middle and the top.
	otherKinds = 16.0
	// otherDOF are the degrees of freedom of that.
	otherDOF = 10.0
)

// doubt works out that reading from the covariance of a prediction, to which it adds.
func (p *predictor) doubt(cov *mat.SymDense) bool {
	var own, wide mat.Cholesky
	if !own.Factorize(cov) {
		return false
	}
	p.add(cov, otherKinds)
	inverse := mat.NewSymDense(len(p.index), nil)
	if !wide.Factorize(cov) || wide.InverseTo(inverse) != nil {
		return false
	}
	p.other = other{*inverse, inTheMiddle(otherDOF, len(p.index)) - inTheMiddle(p.dof, len(p.index)) + (own.LogDet()-wide.LogDet())/2}
	return true
}

// inTheMiddle is the logarithm of the density of a t distribution of k figures where it is
// largest, for a covariance whose determinant is 1.
func inTheMiddle(dof float64, k int) float64 {
	over, _ := math.Lgamma((dof + float64(k)) / 2)
	under, _ := math.Lgamma(dof / 2)
	return over - under - float64(k)/2*math.Log(dof*math.Pi)
}

// ofOther is how much likelier d is in a track of any other kind than in one of the references'.
func (p *predictor) ofOther(d []float64) float64 {
	k := float64(len(d))
	wide, near := quadratic(&p.other.inverse, d), quadratic(&p.inverse, d)
	return math.Exp(p.other.log - (otherDOF+k)/2*math.Log1p(wide/otherDOF) + (p.dof+k)/2*math.Log1p(near/p.dof))
}

// kinds is how much likelier d is with other kinds of music in mind than in the references'
// alone; both without an equaliser.
func (p *predictor) kinds(d []float64, k kinship) float64 {
	if p.other.inverse.IsEmpty() {
		return 1
	}
	return 1 + math.Min(k.most(), k.doubt()*p.ofOther(d))
}

const (
	// atHome is the doubt about a track that is as like the references as they are to one another,
	// and awayFaster how fast it grows beyond that. leastUsual is the least distance that counts
	// as usual, and mostDistance the largest that says more. mostAtHome bounds how much likelier
	// another kind may be of a track whose tempo and rhythm the references have.
	atHome       = 0.02
	awayFaster   = 3.0
	leastUsual   = 2.0
	mostAtHome   = 30.0
	mostDistance = 6.0
	// elsewhere is how much further off a track of no kind of the references may lie, in
	// variances of masters of one kind: a third of what kinds of dance music differ by.
	elsewhere = 0.35
	// farther than the references from one another, as a factor, a track has no kind among them.
	farther = 1.3
)

// kinship is how a track stands to its references in tempo and rhythm.
type kinship struct {
	distance float64 // to its nearest
	usual    float64 // of the references to one another
	named    bool    // they were named by hand, and it is held against them in any case
}

// none of the references is like it.
func (k kinship) none() bool {
	return !k.named && !(k.distance <= math.Max(LikeMost, farther*k.usual))
}

// apart is the argument of predict.
func (k kinship) apart() float64 {
	if k.named || k.distance <= LikeMost {
		return 0
	}
	return elsewhere
}

// most is how much another kind may be likelier: without end where none of the references is
// like the track in tempo and rhythm. Where they are, what is off by far is an equaliser's.
func (k kinship) most() float64 {
	if k.named || k.distance <= LikeMost {
		return mostAtHome
	}
	return math.Inf(1)
}

// doubt before the balance is looked at.
func (k kinship) doubt() float64 {
	if k.named {
		return atHome
	}
	distance, usual := math.Min(k.distance, mostDistance), math.Max(k.usual, leastUsual)
	if math.IsNaN(distance) || math.IsNaN(usual) { // without a tempo anything may be
		distance, usual = mostDistance, leastUsual
	}
	return atHome * math.Exp(awayFaster*math.Max(0, distance/usual-1))
}
