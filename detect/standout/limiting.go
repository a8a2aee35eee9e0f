package standout

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// limiter is what a limiter would do for the part of a trim that the peaks do not allow.
// over is by how many dB the trim takes the true peak over the ceiling, before what
// limiting itself costs.
type limiter struct {
	table *detect.Limiting
	over  float64
}

// solve gives the gain over the ceiling at which the loudness is reached: each dB that a
// limiter takes off the loudest 30 s has to be driven in on top.
//
//	e - loss(e) = over
//
// Between the rows of the table, and from 0 on, loss is a straight line. ok is false
// where the last row does not reach it: no limiter does.
func (l limiter) solve() (e float64, ok bool) {
	lastE, lastNet := 0.0, 0.0
	for i, over := range l.table.OverDB {
		net := float64(over - l.table.LossLU[i])
		if net >= l.over {
			return lastE + (float64(over)-lastE)*(l.over-lastNet)/(net-lastNet), true
		}
		lastE, lastNet = float64(over), net
	}
	return 0, false
}

// at reads a column of the table off at a gain over the ceiling.
func (l limiter) at(column detect.Values, e float64) float64 {
	lastE, last := 0.0, 0.0
	for i, over := range l.table.OverDB {
		if v := float64(column[i]); e <= float64(over) {
			return last + (v-last)*(e-lastE)/(float64(over)-lastE)
		}
		lastE, last = float64(over), float64(column[i])
	}
	return last
}

// short is by how much the trim is missed when no more than reason.GentleDB comes off.
func (l limiter) short() float64 {
	return l.over - (reason.GentleDB - l.at(l.table.LossLU, reason.GentleDB))
}

// nearest is the row next to a gain over the ceiling.
func (l limiter) nearest(e float64) int {
	best := 0
	for i, over := range l.table.OverDB {
		if math.Abs(float64(over)-e) < math.Abs(float64(l.table.OverDB[best])-e) {
			best = i
		}
	}
	return best
}

// limiting fills in what of a trim is left to a limiter.
func (t *Trim) limiting(table *detect.Limiting, truePeak detect.Value, ceiling float64) {
	left := t.TrimDB - t.SafeDB
	if !(left > 0) {
		return
	}
	if table == nil {
		t.LimitingDB = tenth(float64(left)) // the least that it can be
		return
	}
	l := limiter{table, float64(t.TrimDB+truePeak) - ceiling}
	t.FlatShare = table.FlatShare
	e, ok := l.solve()
	if !ok {
		t.LimitingDB, t.MixShortDB = detect.None, tenth(l.short())
		return
	}
	t.LimitingDB = max(tenth(e), tenth(float64(left)))
	t.LimitingP95DB, t.LimitingOver2 = tenth(l.at(table.P95DB, e)), detect.Value(l.at(table.Over2, e))
	t.LimitingAtS = table.AtS[l.nearest(e)]
	if t.LimitingDB > reason.GentleDB {
		t.MixShortDB = max(0, tenth(l.short()))
	}
}
