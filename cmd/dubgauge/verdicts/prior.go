package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/dsp"
)

// The prior of detect/standout says how masters of one kind differ before there are
// references. The songs of the bench are of one maker and so more even in the fine shape of
// their spectrum than music is; so for a small part it comes from open pieces of all kinds,
// scaled to the songs' volume, as pieces of all kinds differ far more.
const (
	openShare = 0.07
	openDOF   = 5.0 // of the multivariate t: some pieces are of another world
	openSteps = 20
)

// printPrior writes standard deviations and correlations of that prior, of songs with even seeds
// and every second pair of pieces; the level has nothing to do with the balance.
func printPrior(w io.Writer, b *bench) {
	all := []int{0, 1, 2, 3, 4, 5, 6, levelFigure, 8, 9, 10, 11, 12, 13, 14, 15}
	songs := slices.DeleteFunc(slices.Clone(b.songs), func(r *Record) bool { return r.Spec.Half() != "fit" })
	cov, n := within(songs, all)
	open, pieces := piecesCovariance(b.songs, all)
	if n == 0 || pieces == 0 {
		fmt.Fprintln(w, "the prior takes songs and open music: -half all, DUBGAUGE_MUSIC")
		return
	}
	scale := math.Exp((logDet(open, everyFigure) - logDet(cov, everyFigure)) / float64(len(everyFigure)))
	for i := range all {
		for j := range i + 1 {
			v := (1-openShare)*cov.At(i, j) + openShare/scale*open.At(i, j)
			if (i == levelFigure) != (j == levelFigure) {
				v = 0
			}
			if i == levelFigure && j == levelFigure {
				v = cov.At(i, i)
			}
			cov.SetSym(i, j, v)
		}
	}
	fmt.Fprintf(w, "%d songs, %d pieces, which differ by %.2f times the variance\nstandard deviations, dB\n", n, pieces, scale)
	for i := range all {
		fmt.Fprintf(w, "%.2f, ", math.Sqrt(cov.At(i, i)))
	}
	fmt.Fprintln(w, "\ncorrelations")
	for i := range all {
		for j := range all {
			fmt.Fprintf(w, "%.2f, ", cov.At(i, j)/math.Sqrt(cov.At(i, i)*cov.At(j, j)))
		}
		fmt.Fprintln(w)
	}
}

// piecesCovariance is how every second pair of pieces of open music differ about their median,
// by the multivariate t (Lange, Little & Taylor, JASA 84, 1989).
func piecesCovariance(songs []*Record, index []int) (cov *mat.SymDense, n int) {
	var rows [][]float64
	for _, r := range songs {
		if x := figures(r); r.Spec.Genre == openMusic && (r.Spec.Seed/2)%2 == 0 && finite(picked(x, index)) {
			rows = append(rows, picked(x, index))
		}
	}
	k := len(index)
	cov = mat.NewSymDense(k, nil)
	for i := range index {
		cov.SetSym(i, i, 1)
		column := make([]float64, len(rows))
		for r := range rows {
			column[r] = rows[r][i]
		}
		middle := dsp.Median(column)
		for r := range rows {
			rows[r][i] -= middle
		}
	}
	for range openSteps {
		next := mat.NewSymDense(k, nil)
		for _, x := range rows {
			d := dPrime(cov, x)
			next.SymRankOne(next, (openDOF+float64(k))/(openDOF+d*d)/float64(len(rows)), mat.NewVecDense(k, x))
		}
		cov = next
	}
	return cov, len(rows)
}

// logDet is the logarithm of the determinant of the part of a covariance with these figures.
func logDet(cov *mat.SymDense, index []int) float64 {
	part := mat.NewSymDense(len(index), nil)
	for i, a := range index {
		for j, b := range index[:i+1] {
			part.SetSym(i, j, cov.At(a, b))
		}
	}
	d, _ := mat.LogDet(part)
	return d
}
