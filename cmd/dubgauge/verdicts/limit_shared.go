package main

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"

	"dubgauge/cmd/dubgauge/studio"
)

// A judge does not know what to look for: it has 5 % of false alarms for everything together.
// The best that can be done with that is to flag the tracks whose figures are likeliest under
// any of the defects against none of them (Neyman & Pearson, Philosophical Transactions A
// 231, 1933): the observer below knows what each of the defects of the table does on the mean,
// holds them for equally common, and sees the balance and the level of a track. It still
// knows how clean masters differ. Of their middle it knows what so many references tell: that
// widens the spread of what it sees by 1 + 1/n.

// observer weighs all defects at once.
type observer struct {
	root    mat.TriDense // of the covariance
	weights [][]float64  // S^-1 a of each defect
	half    []float64    // a' S^-1 a / 2
	cut     float64      // of the odds' logarithm
}

// draws are how many clean tracks the cut-off is found by, songDraws how many each spoilt
// song is held against.
const (
	draws     = 40000
	songDraws = 400
)

// newObserver knows the covariance of clean tracks and what the defects do.
func newObserver(cov *mat.SymDense, effects [][]float64) (*observer, bool) {
	o := &observer{}
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		return nil, false
	}
	chol.LTo(&o.root)
	for _, a := range effects {
		v, w := mat.NewVecDense(len(a), a), new(mat.VecDense)
		if chol.SolveVecTo(w, v) != nil {
			return nil, false
		}
		o.weights = append(o.weights, w.RawVector().Data)
		o.half = append(o.half, mat.Dot(v, w)/2)
	}
	r := rand.New(rand.NewPCG(5, 5))
	all := make([]float64, draws)
	for i := range all {
		all[i] = o.logOdds(o.draw(r))
	}
	slices.Sort(all)
	o.cut = all[int((1-allAlarms)*draws)]
	return o, true
}

// draw is how far a clean track lies off the middle.
func (o *observer) draw(r *rand.Rand) []float64 {
	n, _ := o.root.Dims()
	z, out := make([]float64, n), make([]float64, n)
	for i := range z {
		z[i] = r.NormFloat64()
		for j := range i + 1 {
			out[i] += o.root.At(i, j) * z[j]
		}
	}
	return out
}

// logOdds of any defect against none, in normal data:
//
//	log mean_k exp(a_k' S^-1 d - a_k' S^-1 a_k / 2)
func (o *observer) logOdds(d []float64) float64 {
	most := math.Inf(-1)
	terms := make([]float64, len(o.weights))
	for k, w := range o.weights {
		terms[k] = -o.half[k]
		for i, v := range w {
			terms[k] += v * d[i]
		}
		most = math.Max(most, terms[k])
	}
	sum := 0.0
	for _, t := range terms {
		sum += math.Exp(t - most)
	}
	return most + math.Log(sum/float64(len(terms)))
}

// finds is the share of clean tracks that it flags when this is done to them.
func (o *observer) finds(by []float64) float64 {
	r := rand.New(rand.NewPCG(6, 6))
	found := 0
	for range songDraws {
		d := o.draw(r)
		for i, v := range by {
			d[i] += v
		}
		if o.logOdds(d) > o.cut {
			found++
		}
	}
	return float64(found) / songDraws
}

// shifts are what a defect does to the songs of a bench, in what is seen of them.
func shifts(b *bench, defect string, see view) (out [][]float64) {
	for _, clean := range b.songs {
		if r := b.with(clean, defect); r != nil && clean.Spec.Genre != openMusic {
			if by := minus(see(r), see(clean)); finite(by) {
				out = append(out, by)
			}
		}
	}
	return out
}

// shared is what an observer who shares its alarms finds of each defect; references of 0 is
// one who knows the middle.
func shared(b *bench, references int) map[string]float64 {
	cov, n := within(b.songs, everyFigure)
	if n == 0 {
		return nil
	}
	if references > 0 {
		cov.ScaleSym(1+1/float64(references), cov)
	}
	o, ok := newObserver(cov, meanEffects(b, balanceView))
	if !ok {
		return nil
	}
	all := map[string][][]float64{}
	for _, d := range studio.Defects() {
		if s := shifts(b, d.Name, balanceView); d.Group != studio.TimeGroup && len(s) > 0 {
			all[d.Name] = s
		}
	}
	out := map[string]float64{}
	for name, s := range all {
		for _, x := range s {
			out[name] += o.finds(x) / float64(len(s))
		}
	}
	return out
}
