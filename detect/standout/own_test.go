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
		p, ok := predict(mixed, nil, everyFigure.index(), 0)
		if !ok {
			t.Fatal("no prediction")
		}
		x := tone{}
		copy(x[:], refs[14][:])
		if got := len(first(p.tones(dull(x), nil, kinship{}))) > 0; got != named {
			t.Errorf("%d of 15 are dull: a dull one is named: %v, want %v", odd, got, named)
		}
	}
}

func first(found []toned, _ bool) []toned { return found }

// No more of the references than the share that is named of clean tracks would be named, and none
// of few, however they differ.
func TestNamedOfTheReferences(t *testing.T) {
	for _, c := range []struct {
		n    int
		most int
	}{{5, 0}, {10, 0}, {11, 1}, {15, 1}, {39, 1}, {40, 2}, {60, 3}} {
		for _, wide := range []float64{0.4, 3} {
			refs := spreadOut(c.n, wide)
			p, _ := predict(refs, nil, everyFigure.index(), 0)
			if got := p.eachOther(refs, nil, slices.Repeat([]float64{1}, c.n)).named(p); got > c.most {
				t.Errorf("%d of %d references, %g times as wide, would be named", got, c.n, wide)
			}
		}
	}
}

// How far off a reference lies beside the others alone, in their spread, is what a prediction that
// was made without it says, figure by figure.
func TestOutside(t *testing.T) {
	refs := spreadOut(12, 1)
	index := everyFigure.index()
	all, _ := predict(refs, nil, index, 0)
	d, e := make([]float64, len(index)), make([]float64, len(index))
	ratio, n := 0.0, 0.0
	for r := range refs {
		all.from(refs[r], d)
		without, _ := predict(slices.Delete(slices.Clone(refs), r, r+1), nil, index, 0)
		without.from(refs[r], e)
		for i := range index {
			spread := math.Sqrt(all.learnt.variance(i, 0, 0) * (1 + 1/all.learnt.total))
			guess := d[i] / spread * all.learnt.outside(i, d[i], 1)
			told := e[i] / math.Sqrt(without.learnt.variance(i, 0, 0)*(1+1/without.learnt.total))
			if math.Abs(told) > 0.5 {
				ratio += math.Log(guess / told)
				n++
			}
		}
	}
	if ratio /= n; math.Abs(ratio) > 0.06 || n < 50 {
		t.Errorf("%.1f %% off on the mean of %.0f", 100*ratio, n)
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
