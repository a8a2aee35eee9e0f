package main

import (
	"fmt"
	"math"

	"dubgauge/detect"
	"dubgauge/detect/compare"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
)

// printComparison prints the comparison.
func (a *app) printComparison(sides [2]*side, r *compare.Result, group *standout.Group) {
	for i, name := range []string{"A", "B"} {
		a.field(name, words.OneLine(sides[i].path))
	}
	a.print("")
	for _, s := range words.Compared(r) {
		a.field("", s)
	}
	if group != nil {
		a.field("against", heldAgainst(group))
	}
	a.print("")
	if group != nil && group.Basis == reason.BasisFixed {
		group = nil // fixed values are no records to be near to
	}
	a.sideBySide(&sides[0].Measurement, &sides[1].Measurement, group)
}

// pairFigure is a figure of both tracks.
type pairFigure struct {
	label, unit string
	of          func(m *detect.Measurement) detect.Value
	quantity    standout.Quantity // what the group has of it; empty for nothing
}

var pairFigures = []pairFigure{
	{"loudest 30 s", "LUFS", func(m *detect.Measurement) detect.Value { return m.PlayedLUFS() }, standout.Level},
	{"integrated", "LUFS", func(m *detect.Measurement) detect.Value { return m.Loudness.IntegratedLUFS }, ""},
	{"range", "LU", func(m *detect.Measurement) detect.Value { return m.Loudness.RangeLU }, ""},
	{"true peak", "dBTP", func(m *detect.Measurement) detect.Value { return m.Peak.TruePeakDBTP }, standout.Peak},
	{"peak to loudness", "LU", func(m *detect.Measurement) detect.Value { return m.Peak.PLRLU }, ""},
	{"low end", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.LowDB }, standout.LowEnd},
	{"  sub", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.SubDB }, standout.Sub},
	{"  bass", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.BassDB }, standout.Bass},
	{"mono loss", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.MonoLossDB }, standout.Mono},
	{"low mids", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.LowMidDB }, ""},
	{"mids", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.MidDB }, ""},
	{"presence", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.PresenceDB }, ""},
	{"treble", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.TrebleDB }, ""},
	{"air", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.AirDB }, ""},
	{"tempo", "BPM", func(m *detect.Measurement) detect.Value { return m.Tempo.BPM }, ""},
}

// sideBySide prints every figure of both, the difference, and what the group has.
func (a *app) sideBySide(one, two *detect.Measurement, group *standout.Group) {
	a.print("%-18s%9s%9s%9s  %s", "", "A", "B", "B - A", references(group))
	for _, f := range pairFigures {
		x, y := f.of(one), f.of(two)
		line := fmt.Sprintf("%-18s%9s%9s%9s", f.label, words.Plain.Number(x, 1), words.Plain.Number(y, 1), words.Plain.Signed(y-x, 1))
		a.print("%s  %s", line, f.beside(x, y, group))
	}
	a.print("%-18s%9s%9s", "key", keyName(one), keyName(two))
}

func references(group *standout.Group) string {
	if group == nil {
		return ""
	}
	return "references"
}

// nearerBy in dB is by how much one must lie nearer to be called so.
const nearerBy = 0.2

// beside says what the references have, and which of the two is nearer to it.
func (f *pairFigure) beside(x, y detect.Value, group *standout.Group) string {
	if group == nil || f.quantity == "" {
		return f.unit
	}
	st, ok := group.Stats[f.quantity]
	if !ok || !x.Exists() || !y.Exists() {
		return f.unit
	}
	s := fmt.Sprintf("%-5s %s", f.unit, words.Plain.Number(st.Median, 1))
	da, db := math.Abs(float64(x-st.Median)), math.Abs(float64(y-st.Median))
	switch {
	case da < db-nearerBy:
		s += ", A is nearer"
	case db < da-nearerBy:
		s += ", B is nearer"
	}
	return s
}

func keyName(m *detect.Measurement) string {
	if m.Key == nil {
		return "none"
	}
	return m.Key.Name
}
