package faults

import "dubgauge/detect/transfer"

// The kinds of package transfer stand among ours.
func init() {
	for k, p := range transfer.Places {
		severity := Note
		if p.Severity == transfer.Check {
			severity = CheckIt
		}
		places[Kind(k)] = place{p.Reason, severity, p.Effect, p.Remedy}
	}
}
