package faults

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

// Result gives what was found. Call it once, after the last Write.
func (m *Meter) Result() Result {
	if m.fill > 0 {
		m.chunk()
	}
	var r Result
	m.format(&r)
	m.silences(&r)
	silent := slices.ContainsFunc(r.Faults, func(f Fault) bool { return f.Kind == reason.Silent })
	if !silent && m.at > 0 {
		m.balance(&r)
		m.bandLimit(&r)
		m.clipped(&r)
		m.rests(&r)
		m.clicked(&r)
		r.Fingerprint = m.print.text()
	}
	slices.SortStableFunc(r.Faults, func(a, b Fault) int { return compareTimes(a.At, b.At) })
	return r
}

// compareTimes orders times, those that do not exist first.
func compareTimes(a, b float64) int {
	switch {
	case math.IsNaN(a) && math.IsNaN(b):
		return 0
	case math.IsNaN(a):
		return -1
	case math.IsNaN(b):
		return 1
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

func (r *Result) add(kind reason.Kind, at float64, format string, args ...any) {
	r.Faults = append(r.Faults, Fault{Kind: kind, Detail: fmt.Sprintf(format, args...), At: at})
}

// firstPlaces sorts times and keeps the first maxPlaces.
func firstPlaces(t []float64) []float64 {
	slices.Sort(t)
	return t[:min(len(t), maxPlaces)]
}

// decibels turns an amplitude into dB.
func decibels(x float64) float64 { return 20 * math.Log10(x) }
