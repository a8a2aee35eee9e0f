package standout

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dull is x with a top that is 8 dB down.
func dull(x tone) tone {
	for f, v := range done[5].effect {
		x[f] += v
	}
	return x
}

// What one reference shows is chance; what three of fifteen show is how records of this library
// differ, and is no longer said of a track.
func TestReferencesAreAskedToo(t *testing.T) {
	refs := spreadOut(15, 0.4)
	for odd, named := range map[int]bool{0: true, 1: true, 3: false} {
		mixed := slices.Clone(refs)
		for i := range odd {
			mixed[i] = dull(mixed[i])
		}
		p, ok := predict(mixed, everyFigure.index())
		if !ok {
			t.Fatal("no prediction")
		}
		x := tone{}
		copy(x[:], refs[14][:])
		if got := len(p.tones(dull(x))) > 0; got != named {
			t.Errorf("%d of 15 are dull: a dull one is named: %v, want %v", odd, got, named)
		}
	}
}

// No more of the references than the share that is named of clean tracks would be named, one in
// any case, however they differ.
func TestNamedOfTheReferences(t *testing.T) {
	for _, c := range []struct {
		n    int
		most int
	}{{5, 1}, {15, 1}, {39, 1}, {40, 2}, {60, 3}} {
		for _, wide := range []float64{0.4, 3} {
			refs := spreadOut(c.n, wide)
			p, _ := predict(refs, everyFigure.index())
			weights, total := p.weigh(refs, &p.inverse)
			if got := p.namedOwn(refs, weights, total); got > c.most {
				t.Errorf("%d of %d references, %g times as wide, would be named", got, c.n, wide)
			}
		}
	}
}

// How far off a reference lies beside the others alone is what a prediction that was made without
// it says.
func TestOutside(t *testing.T) {
	refs := spreadOut(12, 1)
	index := everyFigure.index()
	all, _ := predict(refs, index)
	weights, total := slices.Repeat([]float64{1}, 12), 12.0
	d := make([]float64, len(index))
	ratio := 0.0
	for r := range refs {
		all.from(refs[r], d)
		square := quadratic(&all.inverse, d)
		guess := math.Pow(all.outside(square, weights[r], total), 2) * square
		without, _ := predict(slices.Delete(slices.Clone(refs), r, r+1), index)
		without.from(refs[r], d)
		ratio += math.Log(guess/quadratic(&without.inverse, d)) / 12
	}
	if math.Abs(ratio) > 0.06 {
		t.Errorf("%.1f %% off on the mean", 100*ratio)
	}
}

// A prediction that is wider by a factor gives amounts as before, and less evidence.
func TestScaleBy(t *testing.T) {
	p, x := learnt(t)
	d := make([]float64, len(p.index))
	p.from(dull(x), d)
	before, spreads := p.ways[0].amount(d)
	inverse := mat.NewSymDense(len(d), nil)
	inverse.CopySym(&p.inverse)
	p.scaleBy(4)
	after, less := p.ways[0].amount(d)
	if math.Abs(after-before) > 1e-9 || math.Abs(less-spreads/2) > 1e-9 {
		t.Errorf("%g dB and %g spreads, before %g and %g", after, less, before, spreads)
	}
	if got := 4 * quadratic(&p.inverse, d) / quadratic(inverse, d); math.Abs(got-1) > 1e-9 {
		t.Errorf("the distance is %g of what it should be", got)
	}
}
