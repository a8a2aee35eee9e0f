package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
	"dubgauge/detect/balance"
)

// An ideal observer knows where the middle of a genre's clean masters lies, how they
// differ, and which defect to look for; all that a judge has to learn from a few
// references and to find out. What it cannot find nobody can from these figures. It
// weighs the figures as the best linear discriminant does (Fisher, Annals of Eugenics
// 7, 1936), and its detection follows from d', how many standard deviations of clean
// masters the defect moves a track (Green & Swets, Signal Detection Theory and
// Psychophysics, 1966).

// figures of a track: the seven of its balance, its level, and its third octaves, NaN where
// these were not measured.
func figures(r *Record) []float64 {
	b := &r.Measurement.Balance
	x := []float64{float64(b.LowDB), float64(b.LowMidDB), float64(b.MidDB), float64(b.PresenceDB), float64(b.TrebleDB),
		float64(b.AirDB), float64(b.SubShareDB), float64(r.Measurement.Loudness.Loudest30sLUFS)}
	for i := range balance.Thirds {
		v := detect.None
		if i < len(b.ThirdsDB) {
			v = b.ThirdsDB[i]
		}
		x = append(x, float64(v))
	}
	return x
}

// levelFigure is the index of the level among them.
const levelFigure = 7

// everyFigure are those that an observer sees, as the judge does: treble and air are made of
// third octaves.
var everyFigure = []int{0, 1, 2, 3, 6, levelFigure, 8, 9, 10, 11, 12, 13, 14, 15}

// seen are the figures that tell of a defect of this group.
func seen(group string) []int {
	if group == studio.LevelGroup {
		return []int{levelFigure}
	}
	return slices.DeleteFunc(slices.Clone(everyFigure), func(i int) bool { return i == levelFigure })
}

// within is the covariance of the clean songs about the means of their genres, over the
// figures in index; rows that lack one are left out, and so is open music, which is no
// genre. n counts the others.
func within(songs []*Record, index []int) (cov *mat.SymDense, n int) {
	return scatter(songs, func(r *Record) []float64 { return picked(figures(r), index) })
}

func picked(x []float64, index []int) []float64 {
	out := make([]float64, len(index))
	for i, k := range index {
		out[i] = x[k]
	}
	return out
}

func finite(x []float64) bool {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// dPrime is how many standard deviations of the discriminant's output a shift is.
//
//	d' = sqrt(shift' S^-1 shift)
func dPrime(cov *mat.SymDense, shift []float64) float64 {
	var chol mat.Cholesky
	var solved mat.VecDense
	d := mat.NewVecDense(len(shift), shift)
	if !chol.Factorize(cov) || chol.SolveVecTo(&solved, d) != nil {
		return math.NaN()
	}
	return math.Sqrt(mat.Dot(d, &solved))
}

// detects is the share that an observer with this d' finds while it flags a share
// alarms of clean tracks, looking to either side.
func detects(d, alarms float64) float64 {
	z := distuv.UnitNormal.Quantile(1 - alarms/2)
	return distuv.UnitNormal.CDF(d-z) + distuv.UnitNormal.CDF(-d-z)
}

// allAlarms and shareAlarms are the shares of clean tracks that the observer may flag:
// all of the 5 % for this one defect, and what the judge can spend on one of the
// several that it looks for.
const (
	allAlarms   = 0.05
	shareAlarms = 0.01
)

// limit is what an ideal observer finds of a defect.
type limit struct {
	songs            int
	d, all, oneShare float64 // means over the songs
}

// limitOf holds each spoilt song against itself without the defect.
func limitOf(b *bench, d studio.Defect) (l limit) {
	index := seen(d.Group)
	cov, n := within(b.songs, index)
	if n == 0 {
		return l
	}
	for _, clean := range b.songs {
		for _, r := range b.spoilt[clean.Spec] {
			if r.Spec.Defect != d.Name || r.Spec.Genre == openMusic {
				continue
			}
			was, is := picked(figures(clean), index), picked(figures(r), index)
			for i := range is {
				is[i] -= was[i]
			}
			if !finite(is) {
				continue
			}
			prime := dPrime(cov, is)
			l.songs++
			l.d += prime
			l.all += detects(prime, allAlarms)
			l.oneShare += detects(prime, shareAlarms)
		}
	}
	for _, sum := range []*float64{&l.d, &l.all, &l.oneShare} {
		*sum /= float64(max(1, l.songs))
	}
	return l
}

// printLimit writes the table of ideal observers.
func printLimit(w io.Writer, b *bench) {
	fmt.Fprintln(w, "Ideal observers, % found: one that knows which defect to look for, and one that looks for all with 5 % of alarms\n"+
		"together; both know the genre's spread, the second its middle or what so many references tell of it. The last two have\n"+
		"15 references and flag 5 % of the clean songs themselves, the last sees the peaks as well")
	known, some := shared(b, 0), map[int]map[string]float64{}
	fmt.Fprintf(w, "%-34s%8s%8s%8s%8s%10s", "", "songs", "d'", "at 5 %", "at 1 %", "shared")
	for _, n := range limitSizes {
		fmt.Fprintf(w, "%8s", fmt.Sprintf("n = %d", n))
		some[n] = shared(b, n)
	}
	fmt.Fprintf(w, "%10s%10s\n", "of songs", "by peaks")
	songs, peaks := amongSongs(b, songsReferences, balanceView), amongSongs(b, songsReferences, peaksView)
	for _, d := range studio.Defects() {
		if d.Group == studio.TimeGroup {
			continue
		}
		l := limitOf(b, d)
		if l.songs == 0 {
			continue
		}
		fmt.Fprintf(w, "%-34s%8d%8.1f%8.0f%8.0f%10.0f", d.Name, l.songs, l.d, 100*l.all, 100*l.oneShare, 100*known[d.Name])
		for _, n := range limitSizes {
			fmt.Fprintf(w, "%8.0f", 100*some[n][d.Name])
		}
		fmt.Fprintf(w, "%10s%10s\n", foundOf(songs, d.Name), foundOf(peaks, d.Name))
	}
}

// foundOf is a share in percent, a dash where there were too few songs.
func foundOf(shares map[string]float64, name string) string {
	if v, ok := shares[name]; ok {
		return fmt.Sprintf("%.0f", 100*v)
	}
	return "-"
}

// songsReferences are those of the observers that are held against the songs themselves.
const songsReferences = 15

// limitSizes are the sizes of groups that an observer learns the middle from.
var limitSizes = []int{5, 8, 15}
