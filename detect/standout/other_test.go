package standout

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"

	"dubgauge/detect/reason"
)

// ofOther is the ratio of two densities of a multivariate t distribution, whose covariances lie
// otherKinds of the prior's apart but for the level; by an independent library.
func TestOfOtherByDensities(t *testing.T) {
	p, _ := predict(spreadOut(12, 1), nil, everyFigure.index(), 0)
	own, wide := mat.NewSymDense(len(p.index), nil), mat.NewSymDense(len(p.index), nil)
	if !invert(own, &p.inverse) {
		t.Fatal("no covariance")
	}
	wide.CopySym(own)
	for i, a := range p.index {
		for j, b := range p.index[:i+1] {
			if a != loud && b != loud {
				wide.SetSym(i, j, own.At(i, j)+otherKinds*prior(a, b))
			}
		}
	}
	middle := make([]float64, len(p.index))
	near, ok := distmv.NewStudentsT(middle, own, p.dof, nil)
	far, fine := distmv.NewStudentsT(middle, wide, otherDOF, nil)
	if !ok || !fine {
		t.Fatal("no distributions")
	}
	r := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		d := make([]float64, len(p.index))
		for i := range d {
			d[i] = 3 * r.NormFloat64()
		}
		want := far.LogProb(d) - near.LogProb(d)
		if got := math.Log(p.ofOther(d)); math.Abs(got-want) > 1e-6*math.Abs(want)+1e-6 {
			t.Errorf("%.6f, want %.6f", got, want)
		}
	}
}

// The doubt grows with how much further off a track lies in tempo and rhythm than its references
// from one another, and has an end.
func TestKinship(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		k           kinship
		doubt       float64
		apart, most float64
		none        bool
	}{
		{kinship{1, 1.5, false}, atHome, 0, mostAtHome, false},
		{kinship{2.6, 1.5, false}, atHome * math.Exp(3*0.3), 0, mostAtHome, false},
		{kinship{2.7, 1.5, false}, atHome * math.Exp(3*0.35), elsewhere, inf, true},
		{kinship{2.7, 2.5, false}, atHome * math.Exp(3*0.08), elsewhere, inf, false},
		{kinship{3.3, 2.5, false}, atHome * math.Exp(3*0.32), elsewhere, inf, true},
		{kinship{9, 3, false}, atHome * math.Exp(3), elsewhere, inf, true},
		{kinship{inf, 3, false}, atHome * math.Exp(3), elsewhere, inf, true},
		{kinship{nan, 1.5, false}, atHome * math.Exp(6), elsewhere, inf, true},
		{kinship{1, nan, false}, atHome * math.Exp(6), 0, mostAtHome, true},
		{kinship{9, 1, true}, atHome, 0, mostAtHome, false},
	} {
		if got := c.k.doubt(); math.Abs(got/c.doubt-1) > 1e-9 || c.k.apart() != c.apart || c.k.most() != c.most || c.k.none() != c.none {
			t.Errorf("%+v: doubt %.4f (want %.4f), %g apart, %g, none %v", c.k, got, c.doubt, c.k.apart(), c.k.most(), c.k.none())
		}
	}
}

// What references are like tells how far a track may lie: 128 and 131.6 BPM are one octave's 2.8 %
// or one tempoScale apart.
func TestUsualDistance(t *testing.T) {
	refs := pool(6, -8)
	for i := range refs {
		refs[i].BPM = 128
	}
	refs[5].BPM = 131.6
	r := New(refs, Options{}).refs
	for i, want := range []float64{0, 0, 0, 0, 0, 1} {
		if got := r.members[i].nearest; math.Abs(got-want) > 0.02 {
			t.Errorf("reference %d lies %.3f from its nearest, want %g", i, got, want)
		}
	}
	if got := r.usual([]int{0, 1, 5}); got != 0 {
		t.Errorf("usual %.3f", got)
	}
	if got := r.usual([]int{5}); math.Abs(got-1) > 0.02 {
		t.Errorf("usual of one %.3f", got)
	}
	if got := r.distance(&refs[5], -1); math.Abs(got-2.0/3) > 0.02 { // itself, and two of the others
		t.Errorf("%.3f with itself", got)
	}
	x := refs[5]
	if x.BPM = 0; !math.IsNaN(r.distance(&x, 5)) {
		t.Error("a distance without a tempo")
	}
}

// A track of no kind among the references is judged all the same, with more room, and it is said
// so; one whose balance is another music's as well is not judged.
func TestUnlikeIsJudged(t *testing.T) {
	refs := pool(9, -8)
	for i := range refs {
		refs[i].BPM, refs[i].Pattern = 128, fourFloor
	}
	for _, c := range []struct {
		name    string
		balance func() tone
		verdict Verdict
		codes   string
		said    string
	}{
		{"as its references", func() tone { return tone{} }, Ready, "unlike", reason.FarSentence},
		{"a top that 4 dB are missing of", func() tone { return tone{4: -2, 5: -3.5, 12: -1.1, 13: -1.9, 14: -2.8, 15: -3.4} }, Ready, "unlike", reason.FarSentence},
		{"a low end of no music for dancing", func() tone {
			return tone{0: -9, 1: 4, 2: 6, 3: -9, 4: -14, 5: -20, 6: 6, 8: -16, 9: 3, 10: -4, 11: 8, 12: -9, 13: -16, 14: -14, 15: -22}
		}, Ready, "unlike", reason.UnlikeSentence},
		{"a top that is missing", func() tone { return tone{3: -0.5, 4: -5, 5: -9, 12: -3, 13: -5, 14: -7, 15: -8.5} }, HoldBack, "top dull; unlike", reason.FarSentence},
	} {
		x := plain(99, -8)
		x.BPM, x.Pattern = 174, broken
		x.Balance = shaped(usual, 1, c.balance())
		got := New(refs, Options{}).Judge(x)
		if got.Verdict != c.verdict || strings.Join(got.Reasons, "; ") != c.codes || !got.Unlike || !slices.Contains(got.Notes, c.said) {
			t.Errorf("%s: %s %q %q", c.name, got.Verdict, got.Reasons, got.Notes)
		}
	}
}

// What is told of a move is what is likely, never more than is seen, and what is gross as it is
// seen.
func TestSaid(t *testing.T) {
	for _, c := range []struct{ best, plain, size, want float64 }{
		{10, 7, 6, 6}, {10, 4, 6, 4}, {3, 7, 4, 3}, {12, 9, 7, 9}, {9, 12, 7, 9}, {8.5, 8, 7, 7},
	} {
		if got := said(c.best, c.plain, c.size); got != c.want {
			t.Errorf("%+v: %g", c, got)
		}
	}
}

// What an analyser does not show is not named, however well it would fit with what records have in
// common: here the top is as it should be, and where it should be less by how the rest lies.
func TestPlain(t *testing.T) {
	p, _ := learnt(t)
	for k := range p.ways {
		w := &p.ways[k]
		d := slices.Clone(w.effect)
		for i := range d {
			d[i] *= 5 * w.sign
		}
		if got := w.plain(d); math.Abs(got-5*w.sign) > 1e-9 {
			t.Errorf("%s at %g Hz: %.3f of 5 dB", w.code, w.move.hz, got)
		}
		_, odds := p.weighed(d, nil)
		noted := slices.Clone(d)
		for i, f := range p.index {
			if varied&(1<<f) != 0 && w.move.hz > subHz || f == loud {
				noted[i] = 100
			}
		}
		if got := w.plain(noted); math.Abs(got-5*w.sign) > 1e-9 {
			t.Errorf("%s at %g Hz: %.3f of 5 dB beside other notes", w.code, w.move.hz, got)
		}
		if w.bands = nil; w.plain(d) != 0 {
			t.Error("something of nothing")
		}
		if _, less := p.weighed(d, nil); !(less < odds) {
			t.Errorf("%s at %g Hz: odds %g without what is plain, %g with it", w.code, w.move.hz, less, odds)
		}
		p, _ = learnt(t)
	}
}

// A track whose low end is thin is not told to have less of it.
func TestThinHasNoneToGive(t *testing.T) {
	for code, want := range map[string]bool{reason.LowEndThin: true, reason.SubThin: true, reason.SubHeavy: false, reason.TopDull: false} {
		if got := (toned{Move: Move{Code: code}}).thin(); got != want {
			t.Errorf("%s: %v", code, got)
		}
	}
	x := plain(99, -12)
	x.BPM, x.Pattern, x.Balance = 128, fourFloor, equalised(usual, -8, 0)
	x.Limiting, x.True = half(), -1.3
	got := New(pool(9, -8), Options{}).Judge(x)
	if !slices.Contains(got.Reasons, reason.Quiet) || strings.Contains(strings.Join(got.Notes, " "), "less low end") {
		t.Errorf("%q %q", got.Reasons, got.Notes)
	}
	x.Balance = usual
	if got = New(pool(9, -8), Options{}).Judge(x); !strings.Contains(strings.Join(got.Notes, " "), "less low end") {
		t.Errorf("%q", got.Notes)
	}
}
