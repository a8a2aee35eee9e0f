package standout

import (
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// How far a track must lie from its group's median for a listener to notice it
// between two tracks, in LU and dB. Thresholds for direct comparison are 0.4 to
// 1.5 dB (level) and 1 to 1.5 dB (below 100 Hz, Fielder & Benjamin); that these
// hold from track to track is our judgement.
const (
	AudibleLevel  = 1.0
	AudibleLowEnd = 1.5
)

// What serves with too few references. Common practice, no source.
const (
	fixedLevel           = -7.0 // LUFS, loudest 30 s of finished club masters
	fixedLevelTolerance  = 2.0  // LU either way
	fixedLowEnd          = 2.0  // dB
	fixedLowEndTolerance = 4.0  // dB either way
	fixedMono            = 0.0  // dB: the low end of a club master is mono
	fixedMonoTolerance   = 3.0  // dB, what unrelated channels lose
	fixedPeakTolerance   = 2.0  // dB over full scale
)

// rule says how one quantity is judged.
type rule struct {
	audible          float64 // dB; twice this may hold a track back
	centre, fixed    float64 // the fixed value and its tolerance either way, in dB
	low, high        string  // reason codes; empty when that side does no harm
	onlyWithTheGroup bool    // no fixed value
	atMost           reason.Severity
}

var rules = map[Quantity]rule{
	Level: {audible: AudibleLevel, centre: fixedLevel, fixed: fixedLevelTolerance,
		low: reason.Quiet, high: reason.Loud, atMost: reason.HoldBack},
	LowEnd: {audible: AudibleLowEnd, centre: fixedLowEnd, fixed: fixedLowEndTolerance,
		low: reason.LowEndThin, high: reason.LowEndHeavy, atMost: reason.HoldBack},
	Sub:  {audible: AudibleLowEnd, onlyWithTheGroup: true, low: reason.SubThin, high: reason.SubHeavy, atMost: reason.HoldBack},
	Bass: {audible: AudibleLowEnd, onlyWithTheGroup: true, low: reason.BassThin, high: reason.BassHeavy, atMost: reason.HoldBack},
	// More mono than the references is no fault.
	Mono: {audible: AudibleLowEnd, centre: fixedMono, fixed: fixedMonoTolerance, low: reason.MonoLoss, atMost: reason.HoldBack},
	// Most loud masters pass full scale between the samples, so this asks for a
	// look at most, and only far above the references.
	Peak: {audible: AudibleLowEnd, centre: 0, fixed: fixedPeakTolerance, high: reason.OverFullScale, atMost: reason.Check},
}

// deviation is a quantity of a track held against its group.
type deviation struct {
	Deviation
	rule     rule
	centre   detect.Value
	severity reason.Severity
	out      bool // stands out
}

// code is the reason code of a deviation.
func (d *deviation) code() string {
	if d.DB < 0 {
		return d.rule.low
	}
	return d.rule.high
}

// deviate holds one quantity against the group. ok is false when one of them has
// no figure for it.
func deviate(t *Track, g *group, q Quantity) (d deviation, ok bool) {
	d = deviation{rule: rules[q], Deviation: Deviation{Quantity: q, Value: t.value(q), DB: detect.None, Spreads: detect.None}}
	s, has := g.Stats[q]
	switch {
	case !d.Value.Exists():
		return d, false
	case g.Basis == reason.BasisFixed && d.rule.onlyWithTheGroup:
		return d, false
	case g.Basis == reason.BasisFixed:
		d.centre = detect.Value(d.rule.centre)
	case !has:
		return d, false
	default:
		d.centre = s.Median
	}
	d.DB = d.Value - d.centre
	if g.Basis != reason.BasisFixed && s.N >= MinGroup {
		d.Spreads = d.DB / s.Spread
		d.severity, d.out = d.statistical(s.N)
	} else {
		d.severity, d.out = d.byTolerance()
	}
	if d.code() == "" || (q == Peak && d.Value <= 0) {
		d.out = false
	}
	return d, true
}

// statistical is the verdict by the group's spread: "check" when the deviation
// is audible and past the 5 % cut-off, "hold back" when it is twice audible and
// past the 1 % cut-off.
func (d *deviation) statistical(n int) (reason.Severity, bool) {
	five, one := cutoffs(n)
	dB, spreads := math.Abs(float64(d.DB)), math.Abs(float64(d.Spreads))
	switch {
	case dB >= 2*d.rule.audible && spreads > one:
		return min(reason.HoldBack, d.rule.atMost), true
	case dB >= d.rule.audible && spreads > five:
		return reason.Check, true
	}
	return reason.Note, false
}

// byTolerance is the verdict without statistics.
func (d *deviation) byTolerance() (reason.Severity, bool) {
	tolerance := d.rule.fixed
	if d.rule.onlyWithTheGroup {
		tolerance = fixedLowEndTolerance
	}
	dB := math.Abs(float64(d.DB))
	switch {
	case dB > 2*tolerance:
		return min(reason.HoldBack, d.rule.atMost), true
	case dB > tolerance:
		return reason.Check, true
	}
	return reason.Note, false
}

// deviations holds every quantity against the group, in the order of quantities.
func deviations(t *Track, g *group) []deviation {
	out := make([]deviation, 0, len(quantities))
	for _, q := range quantities {
		if d, ok := deviate(t, g, q); ok {
			out = append(out, d)
		}
	}
	return out
}

// Judge says whether t can be played next to its references, why not, and which
// trim brings it to their level.
func (j *Judge) Judge(t Track) Judgement {
	g := j.groupOf(&t)
	out := Judgement{
		Reference: g.Group, MismatchDB: detect.None,
		Trim:       Trim{TrimDB: detect.None, SafeDB: detect.None, LimitingDB: detect.None},
		Deviations: []Deviation{}, Reasons: []string{}, Notes: []string{},
	}
	if g.Basis == reason.BasisTempo {
		out.Reference.BPM = t.BPM
	}
	if !t.Level.Exists() && t.Problem != nil {
		r := problemReason(t.Problem)
		out.Verdict, out.Reasons, out.Notes = Unreadable, []string{r.code}, []string{r.sentence}
		return out
	}
	devs := deviations(&t, g)
	for _, d := range devs {
		out.Deviations = append(out.Deviations, d.Deviation)
	}
	if t.Level.Exists() {
		out.MismatchDB = t.Level - g.LUFS
		out.Trim = trim(g.LUFS-t.Level, t.True, j.opts.ceiling())
	}
	reasons := allReasons(&t, g, devs, out.Trim)
	worst := reason.Note
	for _, r := range reasons {
		worst = max(worst, r.severity)
		out.Reasons = append(out.Reasons, r.code)
		out.Notes = append(out.Notes, r.sentence)
	}
	out.Verdict = [...]Verdict{Ready, Check, HoldBack}[worst]
	return out
}

// implied tells that a low end as a whole stands out only because its sub or its
// bass does, which says more: the same way, and at least as gravely.
func implied(d *deviation, devs []deviation) bool {
	if d.Quantity != LowEnd {
		return false
	}
	return slices.ContainsFunc(devs, func(o deviation) bool {
		return (o.Quantity == Sub || o.Quantity == Bass) && o.out && (o.DB < 0) == (d.DB < 0) && o.severity >= d.severity
	})
}

// clipped tells that the track's peaks are cut flat. What then passes full scale
// between its samples comes from that, and needs no reason of its own.
func clipped(t *Track) bool {
	return slices.ContainsFunc(t.Faults, func(f detect.Fault) bool {
		return reason.Kind(f.Kind).Reason() == reason.Clipped.Reason()
	})
}

// allReasons collects the reasons, the gravest first, one a code.
func allReasons(t *Track, g *group, devs []deviation, tr Trim) []because {
	rs := faultReasons(t)
	for _, d := range devs {
		if d.out && !implied(&d, devs) && !(d.Quantity == Peak && clipped(t)) {
			rs = append(rs, deviationReason(t, &d, g, tr))
		}
	}
	rs = append(rs, driftReason(t)...)
	if !t.Level.Exists() && t.Problem == nil && len(rs) == 0 {
		rs = append(rs, because{reason.HoldBack, 0, reason.Silent.Reason(), reason.NothingAudible})
	}
	slices.SortStableFunc(rs, func(a, b because) int {
		if a.severity != b.severity {
			return int(b.severity - a.severity)
		}
		switch {
		case a.weight > b.weight:
			return -1
		case a.weight < b.weight:
			return 1
		}
		return 0
	})
	return merge(rs)
}
