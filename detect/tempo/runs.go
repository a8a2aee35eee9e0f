package tempo

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

const (
	// sideLeast is the least number of pieces on a side.
	sideLeast = 2
	// sameShare is how far, as a fraction, pieces of one tempo may lie from their median, and
	// sideAgree the share of a side that must: a break without drums may lie elsewhere.
	sameShare = 0.004
	sideAgree = 0.75
	// changeShare is the least change, as a fraction, and levelShare how near to another
	// level of the same tempo (half, double, two thirds) it may not come.
	changeShare = 0.012
	levelShare  = 0.015
)

// run is a run of pieces of one tempo, from one to another; what lies between two runs is a
// piece that holds the change.
type run struct{ from, to int }

// splitPieces are the runs that most pieces agree with, the longer ones of two ways that are
// as good; nil where there are none. It is found by dynamic programming over the ends of runs.
func splitPieces(bpm []float64) []run {
	ways := make([]way, len(bpm)+1)
	for to := sideLeast; to <= len(bpm); to++ {
		for from := 0; from+sideLeast <= to; from++ {
			tempo, n := mode(bpm[from:to])
			if float64(n) < sideAgree*float64(to-from) {
				continue
			}
			if from <= 1 { // the first piece may hold silence
				ways[to] = ways[to].or(way{float64(n), tempo, run{from, to}, nil})
			}
			for last := max(0, from-1); last <= from; last++ {
				if w := &ways[last]; w.agree > 0 && another(w.tempo, tempo) {
					ways[to] = ways[to].or(way{w.agree + float64(n), tempo, run{from, to}, w})
				}
			}
		}
	}
	return ways[len(bpm)].or(ways[max(0, len(bpm)-1)]).runs()
}

// way is a way to split pieces: how many agree, and the tempo of its last run.
type way struct {
	agree float64
	tempo float64
	run   run
	last  *way
}

// or is the better way, w of two that are as good.
func (w way) or(other way) way {
	if other.agree > w.agree {
		return other
	}
	return w
}

// runs are those of a way, in order.
func (w way) runs() []run {
	if w.agree == 0 {
		return nil
	}
	if w.last == nil {
		return []run{w.run}
	}
	return append(w.last.runs(), w.run)
}

// mode is the tempo that most agree with, and their number: those within sameShare of it on
// either side.
func mode(bpm []float64) (tempo float64, n int) {
	sorted := slices.Sorted(slices.Values(bpm))
	from, to := 0, 0
	for _, v := range sorted {
		for sorted[from] < v*(1-sameShare) {
			from++
		}
		for to < len(sorted) && sorted[to] <= v*(1+sameShare) {
			to++
		}
		if to-from > n {
			tempo, n = dsp.Median(sorted[from:to]), to-from
		}
	}
	return tempo, n
}

// another tells whether b is another tempo than a, and not another level of it.
func another(a, b float64) bool {
	if math.Abs(b/a-1) < changeShare {
		return false
	}
	for _, r := range ratios {
		if math.Abs(b/a/r-1) < levelShare {
			return false
		}
	}
	return true
}
