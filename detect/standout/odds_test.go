package standout

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"dubgauge/detect/reason"
)

// lone is a predictor of the low end alone, one standard deviation of 2 dB, that knows two
// moves, of which the second does half as much.
func lone(dof float64) *predictor {
	p := &predictor{index: []int{0}, centre: []float64{0}, inverse: *mat.NewSymDense(1, []float64{0.25}), dof: dof, check: oddsCheck}
	add := func(m *move, effect, usual float64) {
		p.ways = append(p.ways, way{move: m, code: m.heavy, sign: 1, effect: []float64{effect}, weights: []float64{0.25 * effect}, square: 0.25 * effect * effect, usual: usual, bands: []int{0}})
	}
	add(&moves[0], 1, 0.7)
	add(&moves[3], 0.5, 0.3)
	return p
}

// In one figure the odds follow from the density of Student's t distribution.
func TestOddsByDensities(t *testing.T) {
	for _, dof := range []float64{5, 40} {
		p := lone(dof)
		density := distuv.StudentsT{Sigma: 2, Nu: dof}
		for _, x := range []float64{2.5, 4, 7} {
			mean := func(effect float64) (sum float64) {
				for _, s := range []float64{3, 4.5, 6, math.Max(8, x/effect)} {
					sum += density.Prob(x-s*effect) / density.Prob(x) / 4 * math.Pow(math.Min(1, 8/s), 4)
				}
				return sum
			}
			all, odds := p.weighed([]float64{x}, nil)
			one, two := 0.7*mean(1), 0.3*mean(0.5)
			if len(all) != 2 || math.Abs(all[0].odds/one-1) > 1e-9 || math.Abs(all[1].odds/two-1) > 1e-9 || math.Abs(odds/(one+two)-1) > 1e-9 {
				t.Errorf("%g dB with %g degrees: %v, %.6f; want %.6f and %.6f", x, dof, all, odds, one, two)
			}
			told, sum := 0.0, 0.0
			for _, s := range []float64{3, 4.5, 6, 8} {
				told, sum = told+s*density.Prob(x-s), sum+density.Prob(x-s)
			}
			if told = math.Min(told/sum, x); math.Abs(all[0].dB-told) > 1e-9 || all[0].spread != x/2 {
				t.Errorf("%g dB: %.3f dB, %.3f spreads; want %.3f", x, all[0].dB, all[0].spread, told)
			}
		}
	}
}

// What is not heard is no evidence, and neither is what points the other way: 1.4 dB are less
// than is heard of the low end, and 2.8 dB of the second move; 1.6 are not.
func TestInaudibleIsNoEvidence(t *testing.T) {
	p := lone(40)
	for x, want := range map[float64]int{1.4: 1, 1.6: 2, 0.9: 0, 0: 0, -5: 0} {
		if all, odds := p.weighed([]float64{x}, nil); len(all) != want || (odds > 0) != (want > 0) {
			t.Errorf("%g dB: %d moves, odds %g", x, len(all), odds)
		}
	}
}

// The farther off, the more is said, whatever the size, and nothing overflows.
func TestOddsOfGrossMoves(t *testing.T) {
	p, last := lone(60), 0.0
	for _, x := range []float64{3, 6, 12, 24, 48, 96} {
		_, odds := p.weighed([]float64{x}, nil)
		if !(odds > last) || math.IsInf(odds, 0) {
			t.Errorf("%g dB: odds %g after %g", x, odds, last)
		}
		last = odds
	}
	if _, odds := p.weighed([]float64{1e6}, nil); math.IsInf(odds, 0) || math.IsNaN(odds) || odds < oddsHold {
		t.Errorf("an absurd figure has the odds %g", odds)
	}
}

// How far past the cut-off something lies, is by how much less of it would just be named.
func TestPastOfOdds(t *testing.T) {
	p := lone(60)
	for _, x := range []float64{6, 8, 20} {
		got, ok := p.likeliest([]float64{x}, nil, 1)
		if !ok {
			t.Fatalf("%g dB is not named", x)
		}
		_, under := p.weighed([]float64{x / got.past * 0.997}, nil)
		_, over := p.weighed([]float64{x / got.past * 1.003}, nil)
		if !(under <= oddsCheck && over >= oddsCheck) {
			t.Errorf("%g dB is %.3f past: odds %.3f and %.3f about there", x, got.past, under, over)
		}
	}
}

// The name with most of the odds wins, though one move of another name has more than each
// of its own.
func TestNameHasMostOfTheOdds(t *testing.T) {
	p := lone(60)
	alone, _ := p.likeliest([]float64{8}, nil, 1)
	if alone.Code != reason.LowEndHeavy || alone.way != &p.ways[0] {
		t.Fatalf("%s by itself", alone.Code)
	}
	other := p.ways[0]
	other.usual, other.code = 0.5, reason.Muddy
	weaker := other
	weaker.usual = 0.4
	p.ways = append(p.ways, weaker, other)
	if got, _ := p.likeliest([]float64{8}, nil, 1); got.Code != reason.Muddy || got.way != &p.ways[3] || got.Hz != 100 {
		t.Errorf("%s, the way %v", got.Code, got.way)
	}
}

// learnt is what 20 equal references with the usual balance teach.
func learnt(t *testing.T) (*predictor, tone) {
	middle := (&Track{Balance: usual}).tone()
	p, ok := predict(slices.Repeat([]tone{middle}, 20), nil, everyFigure.index(), 0)
	if !ok {
		t.Fatal("no prediction")
	}
	return p, middle
}

// A level that is off by itself is no equaliser's doing, however far off it lies.
func TestLevelIsNoBalance(t *testing.T) {
	p, x := learnt(t)
	for _, off := range []float64{-20, -6, -3, 3, 6, 20} {
		x[loud] = off
		if found, _ := p.tones(x, nil, kinship{}); len(found) > 0 {
			t.Errorf("%g LU: %s", off, found[0].Code)
		}
	}
}

// A cut on a finished master takes its level down, and that tells of it: with the level the
// odds are greater than without.
func TestLevelTellsOfAFilter(t *testing.T) {
	p, middle := learnt(t)
	before, after, louder := filtered(lowShelf, 100, -4, math.Sqrt2/2)
	odds := func(level float64) float64 {
		d := make([]float64, len(p.index))
		for i, f := range p.index {
			if d[i] = after[f] - before[f]; f == loud {
				d[i] = level
			}
		}
		_, odds := p.weighed(d, nil)
		return odds
	}
	if stays, falls, rises := odds(0), odds(louder), odds(-louder); !(falls > 1.5*stays && rises < stays) || louder > -0.5 {
		t.Errorf("odds %.1f at its level, %.1f %.1f LU under it, %.1f over it; middle %v", stays, falls, louder, rises, middle[loud])
	}
}

// The odds that it takes are those of the constants: with 5 and with 60 references.
func TestOddsToBePassed(t *testing.T) {
	for n, want := range map[int]float64{5: 5.3, 60: 8.6} {
		if p, ok := predict(spreadOut(n, 1), nil, balanced.index(), 0); !ok || math.Abs(p.check-want) > 1e-9 {
			t.Errorf("%d references: %.3f, want %g", n, p.check, want)
		}
	}
}

// Each figure gets the room that the references need in it: soon where they are many, and before
// that what they need in all figures together. It is never less than the floor says.
func TestSpreadsOfTheReferences(t *testing.T) {
	index := balanced.index()
	for _, c := range []struct {
		n       int
		of      float64 // how much wider all figures are
		mids    float64 // and the mids besides
		low, up float64 // bounds of the mids' variance, as a factor of the prior's
		others  float64 // most of the low end's
	}{
		{200, 0, 1, 0, 0.02, 0.02},
		{200, 1, 1, 0.8, 1.2, 1.25},
		{200, 2, 1, 3.2, 4.8, 5},
		{200, 1, 3, 7, 10.5, 1.4},
		{8, 1, 3, 3, 9, 2.5},
		{8, 3, 1, 3.5, 14, 14},
	} {
		refs := spreadOut(c.n, c.of)
		for r := range refs {
			refs[r][2] = refs[0][2] + c.mids*(refs[r][2]-refs[0][2])
		}
		p, ok := predict(refs, nil, index, 0)
		if !ok {
			t.Fatal("no prediction")
		}
		mids, low := p.learnt.variance(2, 0, 0)/prior(2, 2), p.learnt.variance(0, 0, 0)/prior(0, 0)
		if mids < c.low || mids > c.up || low > c.others {
			t.Errorf("%d references, %g times as wide, %g in the mids: variances %.2f and %.2f", c.n, c.of, c.mids, mids, low)
		}
	}
	one, _ := predict(slices.Repeat(spreadOut(1, 1), 5), nil, index, 0)
	if got, want := one.learnt.variance(2, 0, 0), priorVariances*priorScale/(priorScale+4)*prior(2, 2)/(priorVariances+4); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("equal references: variance %.3f, want %.3f", got, want)
	}
}

// Three things are named at most, each once, the largest first.
func TestMostMoves(t *testing.T) {
	p := &predictor{dof: 60, check: oddsCheck}
	unit := mat.NewSymDense(5, nil)
	for i, code := range []string{reason.SubThin, reason.Hollow, reason.Harsh, reason.TopDull, reason.TopDull} {
		unit.SetSym(i, i, 1)
		effect := make([]float64, 5)
		effect[i] = 1
		p.index, p.centre = append(p.index, i), append(p.centre, 0)
		p.ways = append(p.ways, way{move: &moves[i], code: code, sign: 1, effect: effect, weights: effect, square: 1, usual: 0.2, bands: []int{i}})
	}
	p.inverse = *unit
	codes := func(x tone) (out []string) {
		found, _ := p.tones(x, nil, kinship{})
		for _, f := range found {
			out = append(out, f.Code)
		}
		return out
	}
	if got := codes(tone{9, 8, 7, 6, 0}); !slices.Equal(got, []string{reason.SubThin, reason.Hollow, reason.Harsh}) {
		t.Errorf("four things: %q", got)
	}
	if got := codes(tone{0, 0, 0, 9, 9}); !slices.Equal(got, []string{reason.TopDull}) {
		t.Errorf("two of one name: %q", got)
	}
}
