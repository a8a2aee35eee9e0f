package standout

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"dubgauge/detect"
)

// Third octaves stand for treble and air where all of them exist; else none of them serves.
func TestWhatIsJudgedBy(t *testing.T) {
	all := (&Track{Balance: usual, Level: -8}).tone()
	if got, want := all.has().judged().index(), []int{0, 1, 2, 3, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}; !slices.Equal(got, want) {
		t.Errorf("with third octaves: %v, want %v", got, want)
	}
	for name, thirds := range map[string]detect.Values{"none": nil, "one is missing": {-9, -12, -14, -14, -21, -21, -21, detect.None}, "too few": {-9, -12}} {
		b := usual
		b.ThirdsDB = thirds
		got := (&Track{Balance: b, Level: -8}).tone().has().judged().index()
		if want := []int{0, 1, 2, 3, 4, 5, 6, 7}; !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// A track with third octaves among references of before they were measured is judged by what
// all have; among five or more that have them, by these.
func TestReferencesWithoutThirdOctaves(t *testing.T) {
	for _, c := range []struct{ without, figures int }{{0, 14}, {4, 14}, {5, 8}, {9, 8}} {
		refs := pool(9, -8)
		for i := range c.without {
			refs[i].Balance.ThirdsDB = nil
		}
		j := New(refs, Options{})
		x := plain(99, -8)
		x.BPM, x.Pattern = 128, fourFloor
		x.Balance = equalised(usual, -9, 1)
		p, _ := j.predictor(&x, j.groupOf(&x), 0)
		if p == nil || len(p.index) != c.figures {
			t.Errorf("%d without: %+v, want %d figures", c.without, p, c.figures)
		}
		if got := j.Judge(x); !slices.Contains(got.Reasons, "top dull") {
			t.Errorf("%d without: %q", c.without, got.Reasons)
		}
	}
}

// The 95 % points of chi squared, to a hundredth of themselves.
func TestFarSquared(t *testing.T) {
	for _, k := range []int{5, 8, 14} {
		if got, want := farSquared(k), (distuv.ChiSquared{K: float64(k)}).Quantile(0.95); math.Abs(got/want-1) > 0.01 {
			t.Errorf("%d figures: %.2f, want %.2f", k, got, want)
		}
	}
}

// The parts that make the loudness are weighted means of the references that have them, though
// treble and air are not judged.
func TestParts(t *testing.T) {
	a := (&Track{Balance: usual, Level: -8}).tone()
	b := a
	b[air], b[treble] = math.NaN(), a[treble]+4
	p := &predictor{}
	p.divide([]tone{a, b}, []float64{1, 3})
	for f, want := range map[int]float64{0: a[0], treble: a[treble] + 3, air: a[air]} {
		if math.Abs(p.parts[f]-want) > 1e-9 {
			t.Errorf("part %d: %.3f, want %.3f", f, p.parts[f], want)
		}
	}
	a[air] = math.NaN()
	p.divide([]tone{a}, []float64{1})
	if !math.IsInf(p.parts[air], -1) {
		t.Errorf("air of none: %g", p.parts[air])
	}
	// Without air the loudness moves by what is left: a shelf of the top moves it less.
	_, middle := learnt(t)
	q, _ := predict(slices.Repeat([]tone{middle}, 20), nil, everyFigure.index(), 0)
	with := q.effect(&moves[1], shown, 1)[slices.Index(q.index, loud)]
	q.parts[air], q.parts[treble] = math.Inf(-1), math.Inf(-1)
	if without := q.effect(&moves[1], shown, 1)[slices.Index(q.index, loud)]; !(without < 0.5*with && with > 0) {
		t.Errorf("a top of 5 dB makes it louder by %.3f dB a dB, %.3f without treble and air", with, without)
	}
}

// A top that falls as a shelf does from 6 to 13 kHz tells more of a shelf than the same treble and
// air that fall otherwise: with third octaves the odds of it are greater.
func TestShapeTellsOfAShelf(t *testing.T) {
	p, _ := learnt(t)
	before, after, _ := filtered(highShelf, 8000, -5, math.Sqrt2/2)
	odds := func(thirds []float64) float64 {
		d := make([]float64, len(p.index))
		for i, f := range p.index {
			if d[i] = after[f] - before[f]; f >= firstThird+4 {
				d[i] = thirds[f-firstThird-4]
			}
			if f == loud {
				d[i] = 0
			}
		}
		all, _ := p.weighed(d, nil)
		best := 0.0
		for _, e := range all {
			if e.way.code == "top dull" {
				best += e.odds
			}
		}
		return best
	}
	var shelf []float64
	for f := firstThird + 4; f < tones; f++ {
		shelf = append(shelf, after[f]-before[f])
	}
	ragged := []float64{shelf[1], shelf[0], shelf[3], shelf[2]}
	if a, b := odds(shelf), odds(ragged); !(a > 2*b) {
		t.Errorf("odds of a shelf %.1f, of the same in another order %.1f", a, b)
	}
}

func TestQuadratic(t *testing.T) {
	m := mat.NewSymDense(3, []float64{2, 1, -1, 1, 3, 0.5, -1, 0.5, 5})
	x := []float64{1, -2, 4}
	if got, want := quadratic(m, x), mat.Inner(mat.NewVecDense(3, x), m, mat.NewVecDense(3, x)); math.Abs(got-want) > 1e-12 {
		t.Errorf("%g, want %g", got, want)
	}
}
