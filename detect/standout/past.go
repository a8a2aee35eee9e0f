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
// it is said: deviations from the group and faults.
func past(t *Track, g *group, devs []deviation) detect.Value {
	worst := pastFaults(t)
	for i := range devs {
		if devs[i].Quantity == Peak && clipped(t) {
			continue // said by the clipping
		}
		worst = max(worst, devs[i].past(g.Stats[devs[i].Quantity].N))
	}
	return detect.Value(worst)
}

// past is how far a deviation from n references lies past its cut-off, 1 being on it:
//
//	min(|spreads| / 5 % cut-off, |dB| / audible)   with statistics
//	|dB| / tolerance                               with fixed values
//
// 0 when that side does no harm.
func (d *deviation) past(n int) float64 {
	dB, spreads := math.Abs(float64(d.DB)), math.Abs(float64(d.Spreads))
	switch {
	case d.code() == "", d.Quantity == Peak && d.Value <= 0:
		return 0
	case d.Spreads.Exists():
		five, _ := cutoffs(n)
		return min(spreads/five, dB/d.rule.audible)
	case d.rule.onlyWithTheGroup:
		return dB / fixedLowEndTolerance
	}
	return dB / d.rule.fixed
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
