package key

import (
	"math"
	"testing"
)

// TestFit makes the weights and the constants of the confidence anew from the even
// seeds of the yardstick and of the random tunes, with DUBGAUGE_FULL: the weights by a
// multinomial logistic regression with a ridge, the confidence by a logistic regression on the
// log odds that weights give which were fitted without the piece.
func TestFit(t *testing.T) {
	if !fullTable {
		t.Skip("needs DUBGAUGE_FULL")
	}
	all := listenToYard(t, fittingSeeds, allTonics)
	kinds := []int{len(all)}
	for _, seed := range []uint64{12, 14, 16} {
		all = append(all, listenToTunes(seed, 200)...)
	}
	kinds = append(kinds, len(all))
	all = append(all, listenToSongs(fittingSongs)...)
	var examples []example
	for i := range all {
		if e := all[i].meter.evidence(); e.part.weight > 0 {
			x := newExample(&e, all[i].want)
			x.tune, x.song = i >= kinds[0] && i < kinds[1], i >= kinds[1]
			examples = append(examples, x)
		}
	}
	const close = 0.1 // the solvers stop at different places
	w := fitAll(examples)
	for i, v := range allWeights() {
		if math.Abs(w[i]-v) > close {
			t.Errorf("weight %d is %.2f, the constant %.2f", i, w[i], v)
		}
	}
	c := fitConfidence(answers(examples))
	t.Logf("weights %.2f, confidence %.2f", w, c)
	for i, v := range [3]float64{confidenceBase, confidenceSlope, confidenceTime} {
		if math.Abs(c[i]-v) > close {
			t.Errorf("constant %d of the confidence is %.2f, want %.2f", i, c[i], v)
		}
	}
}

// allWeights are the constants in the order of an example's features.
func allWeights() (w [exampleSize]float64) {
	at := copy(w[:], evidenceWeights[:])
	for mode := range chordWeights {
		for _, chords := range chordWeights[mode] {
			at += copy(w[at:], chords[:])
		}
	}
	return w
}

// answer is what is said of a piece: the logarithm of its odds, the feature of time, and
// whether it is right.
type answer struct {
	x     [3]float64
	right bool
}

// answers weighs each half of the examples by what is fitted to the other.
func answers(all []example) (out []answer) {
	for half := range 2 {
		var others []example
		for i := range all {
			if i%2 != half {
				others = append(others, all[i])
			}
		}
		w := fitAll(others)
		for i := half; i < len(all); i += 2 {
			if all[i].song {
				continue
			}
			p, top := all[i].odds(w), 0
			for k := range p {
				if p[k] > p[top] {
					top = k
				}
			}
			e := evidence{probability: p[top], seconds: all[i].seconds}
			odds, time := e.certainty()
			out = append(out, answer{[3]float64{1, odds, time}, top == all[i].right})
		}
	}
	return out
}

// exampleSize is the number of weights that are fitted: of the features, and of what each
// chord does in each mode.
const exampleSize = featureCount + 2*chordRoles*chordCount

// example is what speaks for each of the 24 keys of a piece, and which is right.
type example struct {
	features [24][exampleSize]float64
	right    int
	seconds  float64 // for which the track is full of notes
	tune     bool    // of the random tunes
	song     bool    // of the songs of sections
}

func newExample(e *evidence, want Key) (x example) {
	l := e.part.listener()
	for k := range x.features {
		key := Key{k % 12, Mode(k / 12)}
		f := l.features(key)
		copy(x.features[k][:], f[:])
		at := featureCount + int(key.Mode)*chordRoles*chordCount
		for _, chords := range l.asked(key) {
			at += copy(x.features[k][at:], chords[:])
		}
	}
	x.seconds = e.seconds
	x.right = want.Tonic + 12*int(want.Mode)
	return x
}

// odds of the 24 keys.
func (x *example) odds(w *[exampleSize]float64) (p [24]float64) {
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

// withoutChords are the weights that were fitted to the yardstick before chords were heard,
// from which those of the features may not go far: what chords say of real music is less sure
// than of this.
var withoutChords = [exampleSize]float64{
	isMinor: 1.05, fits: 7.00, bassRoot: 2.14, root: 6.54, third: 0.78, sixth: 0.35, seventh: 0.18,
}

// fitAll are all weights: those of what was before sections were heard by the yardstick and the
// tunes, then that of enters alone by the yardstick and the songs.
func fitAll(examples []example) *[exampleSize]float64 {
	var before, sections []example
	for _, x := range examples {
		if !x.song {
			before = append(before, x)
		}
		if !x.tune {
			sections = append(sections, x)
		}
	}
	w := fitWeights(before)
	for range 20 {
		slope, curve := 0.0, 1e-9
		for i := range sections {
			x := &sections[i]
			mean, square := 0.0, 0.0
			for k, p := range x.odds(w) {
				f := x.features[k][enters]
				mean += p * f
				square += p * f * f
			}
			slope += x.features[x.right][enters] - mean
			curve += square - mean*mean
		}
		w[enters] += slope / curve
	}
	return w
}

// fitWeights is Newton's method on the mean log likelihood less ridge |w - withoutChords|^2.
func fitWeights(examples []example) *[exampleSize]float64 {
	const featureRidge, chordRidge, stays, rounds, step = 0.03, 0.003, 1e6, 20, 0.5 // half steps, as whole ones can overshoot
	start := withoutChords
	w := &start
	for range rounds {
		gradient, hessian := make([]float64, exampleSize), make([][]float64, exampleSize)
		for i := range hessian {
			hessian[i] = make([]float64, exampleSize)
			ridge := chordRidge
			switch {
			case i < opens:
				ridge = featureRidge
			case i == enters:
				ridge = stays
			}
			gradient[i], hessian[i][i] = -2*ridge*(w[i]-withoutChords[i]), 2*ridge
		}
		for n := range examples {
			x := &examples[n]
			var mean [exampleSize]float64
			p := x.odds(w)
			for k, f := range x.features {
				for i := range f {
					mean[i] += p[k] * f[i]
				}
			}
			for k, f := range x.features {
				curve(hessian, &f, &mean, p[k]/float64(len(examples)))
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

// curve adds the share p of what one key's features do to the Hessian.
func curve(hessian [][]float64, f, mean *[exampleSize]float64, p float64) {
	const hardly = 1e-7
	if p < hardly {
		return
	}
	for i, row := range hessian {
		d := p * (f[i] - mean[i])
		for j := range row {
			row[j] += d * (f[j] - mean[j])
		}
	}
}

// solve gives x of a x = b for a positive definite a, by elimination.
func solve(a [][]float64, b []float64) []float64 {
	for i := range b {
		for r := i + 1; r < len(b); r++ {
			f := a[r][i] / a[i][i]
			for c := i; c < len(b); c++ {
				a[r][c] -= f * a[i][c]
			}
			b[r] -= f * b[i]
		}
	}
	x := make([]float64, len(b))
	for i := len(b) - 1; i >= 0; i-- {
		x[i] = b[i]
		for c := i + 1; c < len(b); c++ {
			x[i] -= a[i][c] * x[c]
		}
		x[i] /= a[i][i]
	}
	return x
}

// fitConfidence is Newton's method for whether the first key is right.
func fitConfidence(all []answer) []float64 {
	c := []float64{0, 1, 0}
	for range 20 {
		gradient, hessian := make([]float64, 3), [][]float64{make([]float64, 3), make([]float64, 3), make([]float64, 3)}
		for _, a := range all {
			z, y := 0.0, 0.0
			for i, v := range a.x {
				z += c[i] * v
			}
			if a.right {
				y = 1
			}
			q := 1 / (1 + math.Exp(-z))
			for i, v := range a.x {
				gradient[i] += (y - q) * v
				for j, u := range a.x {
					hessian[i][j] += q * (1 - q) * v * u
				}
			}
		}
		for i, d := range solve(hessian, gradient) {
			c[i] += d
		}
	}
	return c
}
