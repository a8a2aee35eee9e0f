package main

import (
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"dubgauge/cmd/dubgauge/studio"
)

// Normal draws flatter an observer: songs that are clean lie further out than those, and what
// tells them from spoilt ones has to be paid for in them. The observer here is held against the songs
// themselves: it knows their covariance and what each defect does on the mean, has the middle from
// so many references as a judge has, and sets its cut-off where it flags 5 % of the same clean songs.

// songsTimes is how many groups of references each song is held against.
const songsTimes = 8

// view is what an observer sees of a record.
type view func(r *Record) []float64

// balanceView is the balance with the level, peaksView the peaks as well.
func balanceView(r *Record) []float64 { return picked(figures(r), everyFigure) }

func peaksView(r *Record) []float64 {
	if r.Measurement.Limiting == nil {
		return []float64{math.NaN()}
	}
	flat, over := peaksOf(&r.Measurement)
	return append(balanceView(r), flat, over)
}

// amongSongs is what an observer with so many references finds of each defect, as a share.
func amongSongs(b *bench, references int, see view) map[string]float64 {
	cov, n := scatter(b.songs, see)
	if n == 0 {
		return nil
	}
	cov.ScaleSym(1+1/float64(references), cov)
	o, ok := newObserver(cov, meanEffects(b, see))
	if !ok {
		return nil
	}
	var odds []float64
	found, asked := map[string][]float64{}, 0
	for _, clean := range b.songs {
		for time := range songsTimes {
			centre := middleOf(b.draw(sameKind, clean.Spec, references, time), see)
			x := see(clean)
			if centre == nil || !finite(x) || clean.Spec.Genre == openMusic {
				break
			}
			asked++
			odds = append(odds, o.logOdds(minus(x, centre)))
			for _, r := range b.spoilt[clean.Spec] {
				if y := see(r); finite(y) {
					found[r.Spec.Defect] = append(found[r.Spec.Defect], o.logOdds(minus(y, centre)))
				}
			}
		}
	}
	if asked == 0 {
		return nil
	}
	slices.Sort(odds)
	cut := odds[int((1-allAlarms)*float64(len(odds)))]
	out := map[string]float64{}
	for name, all := range found {
		over := slices.DeleteFunc(slices.Clone(all), func(v float64) bool { return v <= cut })
		out[name] = float64(len(over)) / float64(len(all))
	}
	return out
}

// scatter is the covariance of what is seen of clean songs about the means of their genres, and of
// how many; nil of none.
func scatter(songs []*Record, see view) (cov *mat.SymDense, n int) {
	by := map[string][][]float64{}
	for _, r := range songs {
		if x := see(r); r.Spec.Genre != openMusic && finite(x) {
			by[r.Spec.Genre] = append(by[r.Spec.Genre], x)
		}
	}
	free := 0
	for _, kind := range slices.Sorted(maps.Keys(by)) {
		rows := by[kind]
		if len(rows) < 2 {
			continue
		}
		centre := meanOf(rows)
		if cov == nil {
			cov = mat.NewSymDense(len(centre), nil)
		}
		n, free = n+len(rows), free+len(rows)-1
		for _, x := range rows {
			cov.SymRankOne(cov, 1, mat.NewVecDense(len(centre), minus(x, centre)))
		}
	}
	if n == 0 {
		return nil, 0
	}
	cov.ScaleSym(1/float64(free), cov)
	return cov, n
}

// middleOf is the mean of what is seen of records, those left out of which not all is known; nil
// of none.
func middleOf(records []*Record, see view) []float64 {
	var all [][]float64
	for _, r := range records {
		if x := see(r); finite(x) {
			all = append(all, x)
		}
	}
	return meanOf(all)
}

func meanOf(all [][]float64) []float64 {
	if len(all) == 0 {
		return nil
	}
	mean := make([]float64, len(all[0]))
	for _, x := range all {
		for i, v := range x {
			mean[i] += v / float64(len(all))
		}
	}
	return mean
}

// meanEffects are what each defect does to what is seen, on the mean.
func meanEffects(b *bench, see view) (effects [][]float64) {
	for _, d := range studio.Defects() {
		if mean := meanOf(shifts(b, d.Name, see)); mean != nil && d.Group != studio.TimeGroup {
			effects = append(effects, mean)
		}
	}
	return effects
}

// minus is x - y, one figure that does not exist where they are not of one length.
func minus(x, y []float64) []float64 {
	if len(x) != len(y) {
		return []float64{math.NaN()}
	}
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v - y[i]
	}
	return out
}
