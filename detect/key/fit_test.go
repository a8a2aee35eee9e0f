package key

import (
	"math"
	"testing"
)

// TestFit makes evidenceWeights and the constants of the confidence anew from the even
// seeds of the yardstick, with DUBGAUGE_FULL: the weights by a multinomial logistic
// regression with a ridge, the confidence by a logistic regression on the log odds that they give.
func TestFit(t *testing.T) {
	if !fullTable {
		t.Skip("needs DUBGAUGE_FULL")
	}
	all := listenToYard(t, fittingSeeds, allTonics)
	var examples []example
	for i := range all {
		if e := all[i].meter.evidence(); e.part.weight > 0 {
			examples = append(examples, newExample(&e, all[i].want))
		}
	}
	w := fitWeights(examples)
	base, slope := fitConfidence(examples, w)
	t.Logf("weights %.2f, confidence %.2f and %.2f", w, base, slope)
	const close = 0.05 // they were fitted before the constants of change.go were settled
	for i, v := range w {
		if math.Abs(v-evidenceWeights[i]) > close {
			t.Errorf("weight %d is %.2f, the constant %.2f", i, v, evidenceWeights[i])
		}
	}
	if math.Abs(base-confidenceBase) > close || math.Abs(slope-confidenceSlope) > close {
		t.Errorf("confidence %.2f and %.2f, the constants %.2f and %.2f", base, slope, confidenceBase, confidenceSlope)
	}
}

// example is what speaks for each of the 24 keys of a piece, and which is right.
type example struct {
	features [24][featureCount]float64
	right    int
}

func newExample(e *evidence, want Key) (x example) {
	l := e.part.listener()
	for k := range x.features {
		x.features[k] = l.features(Key{k % 12, Mode(k / 12)})
	}
	x.right = want.Tonic + 12*int(want.Mode)
	return x
}

// odds of the 24 keys.
func (x *example) odds(w [featureCount]float64) (p [24]float64) {
	sum := 0.0
	for k := range p {
		for i, f := range x.features[k] {
			p[k] += w[i] * f
		}
		p[k] = math.Exp(p[k])
		sum += p[k]
	}
	for k := range p {
		p[k] /= sum
	}
	return p
}

// fitWeights is Newton's method on the mean log likelihood less ridge |w|^2.
func fitWeights(examples []example) (w [featureCount]float64) {
	const ridge, rounds, step = 3e-4, 40, 0.5 // half steps, as whole ones can overshoot
	for range rounds {
		var gradient [featureCount]float64
		var hessian [featureCount][featureCount]float64
		for i := range w {
			gradient[i], hessian[i][i] = -2*ridge*w[i], 2*ridge
		}
		for n := range examples {
			x := &examples[n]
			var mean [featureCount]float64
			p := x.odds(w)
			for k, f := range x.features {
				for i := range f {
					mean[i] += p[k] * f[i]
				}
			}
			for k, f := range x.features {
				for i := range f {
					for j := range f {
						hessian[i][j] += p[k] * (f[i] - mean[i]) * (f[j] - mean[j]) / float64(len(examples))
					}
				}
			}
			for i, f := range x.features[x.right] {
				gradient[i] += (f - mean[i]) / float64(len(examples))
			}
		}
		for i, d := range solve(hessian, gradient) {
			w[i] += step * d
		}
	}
	return w
}

// solve gives x of a x = b for a positive definite a, by elimination.
func solve(a [featureCount][featureCount]float64, b [featureCount]float64) (x [featureCount]float64) {
	for i := range b {
		for r := i + 1; r < featureCount; r++ {
			f := a[r][i] / a[i][i]
			for c := i; c < featureCount; c++ {
				a[r][c] -= f * a[i][c]
			}
			b[r] -= f * b[i]
		}
	}
	for i := featureCount - 1; i >= 0; i-- {
		x[i] = b[i]
		for c := i + 1; c < featureCount; c++ {
			x[i] -= a[i][c] * x[c]
		}
		x[i] /= a[i][i]
	}
	return x
}

// fitConfidence is Newton's method for whether the first key is right, by its log odds.
func fitConfidence(examples []example, w [featureCount]float64) (base, slope float64) {
	slope = 1
	for range 20 {
		var g0, g1, h00, h01, h11 float64
		for n := range examples {
			p, top := examples[n].odds(w), 0
			for k := range p {
				if p[k] > p[top] {
					top = k
				}
			}
			z, y := math.Log(p[top]/(1-p[top])), 0.0
			if top == examples[n].right {
				y = 1
			}
			q := 1 / (1 + math.Exp(-base-slope*z))
			g0, g1 = g0+y-q, g1+(y-q)*z
			h00, h01, h11 = h00+q*(1-q), h01+q*(1-q)*z, h11+q*(1-q)*z*z
		}
		d := h00*h11 - h01*h01
		base, slope = base+(h11*g0-h01*g1)/d, slope+(h00*g1-h01*g0)/d
	}
	return base, slope
}
