package standout

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// What a fault counts for beside deviations, as a ratio past a cut-off. A fault that a
// big system will show is as bad as a level four times past what is usual: it comes
// before most differences of level or low end, but not before a track that is out of
// all proportion. Our judgement, no source.
const (
	pastCheck    = 2.0
	pastHoldBack = 4.0
)

// past is the largest ratio of what is said against a track to the cut-off from which
// it is said: deviations from the group, its balance, and faults. 1 is on the cut-off.
//
//	min(|spreads| / cut-off, |dB| / audible)   with statistics
//	|dB| / tolerance                           with fixed values
//
// What does no harm on its side counts 0.
func past(t *Track, devs []deviation, found []toned) detect.Value {
	worst := pastFaults(t)
	for _, d := range devs {
		if t.explains(&d) {
			continue // said by the fault
		}
		worst = max(worst, d.past)
	}
	for _, f := range found {
		worst = max(worst, min(f.past, math.Abs(float64(f.DB))/f.way.move.audible))
	}
	return detect.Value(worst)
}

// pastFaults is what the gravest fault counts for.
func pastFaults(t *Track) float64 {
	if t.Problem != nil || !t.Level.Exists() {
		return pastHoldBack
	}
	worst := 0.0
	for _, f := range t.Faults {
		switch reason.Kind(f.Kind).Severity() {
		case reason.HoldBack:
			worst = max(worst, pastHoldBack)
		case reason.Check:
			worst = max(worst, pastCheck)
		}
	}
	return worst
}
