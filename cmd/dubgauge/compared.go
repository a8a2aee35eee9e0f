package main

import (
	"fmt"

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
	for _, s := range words.ComparedTracks(r, &sides[0].Measurement, &sides[1].Measurement) {
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

// sideBySide prints every figure of both, the difference, and what the group has.
func (a *app) sideBySide(one, two *detect.Measurement, group *standout.Group) {
	a.print("%-18s%9s%9s%9s  %s", "", "A", "B", "B - A", references(group))
	for _, p := range words.Plain.Pairs(one, two, group) {
		line := fmt.Sprintf("%-18s%9s%9s", p.Label, p.A, p.B)
		if p.Unit == "" {
			a.print("%s", line)
			continue
		}
		beside := p.Unit
		if p.References != "" {
			beside = fmt.Sprintf("%-5s %s", p.Unit, p.References)
		}
		if p.Nearer != "" {
			beside += ", " + p.Nearer + " is nearer"
		}
		a.print("%s%9s  %s", line, p.Diff, beside)
	}
}

func references(group *standout.Group) string {
	if group == nil {
		return ""
	}
	return "references"
}
