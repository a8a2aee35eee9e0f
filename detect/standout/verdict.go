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
	check, hold      float64 // chances on the side that does harm, see cutoff
	checkLow         float64 // that of less, where it is another and not twice audible
}

var rules = map[Quantity]rule{
	Level: {audible: AudibleLevel, centre: fixedLevel, fixed: fixedLevelTolerance,
		low: reason.Quiet, high: reason.Loud, atMost: reason.HoldBack, check: loudChance, checkLow: quietChance, hold: levelHold},
	LowEnd: {audible: AudibleLowEnd, centre: fixedLowEnd, fixed: fixedLowEndTolerance,
		low: reason.LowEndThin, high: reason.LowEndHeavy, atMost: reason.HoldBack},
	// Sub and bass follow the key: they explain a low end and are not judged.
	Sub:  {audible: AudibleLowEnd, onlyWithTheGroup: true},
	Bass: {audible: AudibleLowEnd, onlyWithTheGroup: true},
	// More mono than the references is no fault.
	Mono: {audible: AudibleLowEnd, centre: fixedMono, fixed: fixedMonoTolerance, low: reason.MonoLoss, atMost: reason.HoldBack, check: monoChance, hold: monoHold},
	// Most loud masters pass full scale between the samples, so this asks for a
	// look at most, and only far above the references.
	Peak: {audible: AudibleLowEnd, centre: 0, fixed: fixedPeakTolerance, high: reason.OverFullScale, atMost: reason.Check, check: peakChance, hold: peakChance},
}

// deviation is a quantity of a track held against its group.
type deviation struct {
	Deviation
	rule     rule
	centre   detect.Value
	severity reason.Severity
	out      bool    // stands out
	past     float64 // of its cut-off, see past.go
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
	switch p, judged := g.spreads[q]; {
	case g.Basis == reason.BasisFixed:
		d.severity, d.out = d.byTolerance()
	case judged:
		d.Spreads = (d.Value - detect.Value(p.centre)) / detect.Value(p.spread)
		d.severity, d.out = d.statistical(p.dof)
		if q == Level {
			d.turnedDown(t, g)
		}
	default: // explains the balance, and is not judged by itself
		d.Spreads = d.DB / s.Spread
	}
	if d.code() == "" || (q == Peak && d.Value <= 0) {
		d.out, d.past = false, 0
	}
	return d, true
}

// statistical is the verdict by the group's spread: "check" when the deviation
// is audible and past its cut-off, "hold back" when it is twice audible and past the
// strict one.
func (d *deviation) statistical(dof float64) (reason.Severity, bool) {
	check, hold := cutoff(d.rule.check, dof), cutoff(d.rule.hold, dof)
	dB, spreads := math.Abs(float64(d.DB)), math.Abs(float64(d.Spreads))
	if d.DB < 0 && d.rule.checkLow > 0 && dB < 2*d.rule.audible {
		check = cutoff(d.rule.checkLow, dof)
	}
	d.past = min(spreads/check, dB/d.rule.audible)
	switch {
	case dB >= 2*d.rule.audible && spreads > hold:
		return min(reason.HoldBack, d.rule.atMost), true
	case dB >= d.rule.audible && spreads > check:
		return reason.Check, true
	}
	return reason.Note, false
}

// turnedDown: a track that is audibly quieter than its references, and whose peaks lie under
// theirs as well, was turned down, even where its level alone might be that of a quiet record:
// that has its peaks where the others have them.
func (d *deviation) turnedDown(t *Track, g *group) {
	p, judged := g.spreads[Peak]
	if !judged || !t.True.Exists() || d.DB > -detect.Value(d.rule.audible) {
		return
	}
	under := (p.centre - float64(t.True)) / p.spread / cutoff(turnedChance, p.dof)
	if under = min(under, math.Abs(float64(d.DB))/d.rule.audible); under > 1 {
		d.severity, d.out, d.past = max(d.severity, reason.Check), true, max(d.past, under)
	}
}

// byTolerance is the verdict without statistics.
func (d *deviation) byTolerance() (reason.Severity, bool) {
	tolerance := d.rule.fixed
	d.past = math.Abs(float64(d.DB)) / tolerance
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
		Reference: g.Group, Members: j.ids(g), MismatchDB: detect.None,
		Trim:       NoTrim,
		Deviations: []Deviation{}, Tone: []Move{}, Reasons: []string{}, Notes: []string{},
	}
	if !t.Level.Exists() && t.Problem != nil {
		r := problemReason(t.Problem)
		out.Verdict, out.Reasons, out.Notes, out.Past = Unreadable, []string{r.code}, []string{r.sentence}, pastHoldBack
		return out
	}
	devs := deviations(&t, g)
	for _, d := range devs {
		out.Deviations = append(out.Deviations, d.Deviation)
	}
	if t.Level.Exists() {
		out.MismatchDB = t.Level - g.LUFS
		out.Trim = trim(g.LUFS-t.Level, t.True, j.opts.ceiling(), t.Limiting)
	}
	found, unlike, other := j.tones(&t, g)
	for _, f := range found {
		out.Tone = append(out.Tone, f.Move)
	}
	out.Unlike, out.Past = unlike, past(&t, devs, found)
	reasons := allReasons(&t, g, devs, out.Trim, found, unlikeReason(unlike, other))
	worst := reason.Note
	for _, r := range reasons {
		worst = max(worst, r.severity)
		out.Reasons = append(out.Reasons, r.code)
		out.Notes = append(out.Notes, r.sentence)
	}
	out.Verdict = [...]Verdict{Ready, Check, HoldBack}[worst]
	return out
}

// tones are the moves found in t's balance; unlike tells that no reference is like it, other that
// it was therefore not judged.
func (j *Judge) tones(t *Track, g *group) (found []toned, unlike, other bool) {
	if !g.judged {
		return nil, false, false
	}
	k := j.kinship(t, g)
	p, x := j.predictor(t, g, k.apart())
	if p == nil {
		none := k.none() && t.Level.Exists()
		return nil, none, none
	}
	found, other = p.tones(x, p.favours(t.peaks(), p.made), k)
	return found, other || k.none(), other
}

// clipped tells that the track's peaks are cut flat. What then passes full scale
// between its samples comes from that, and needs no reason of its own.
func clipped(t *Track) bool {
	return slices.ContainsFunc(t.Faults, func(f detect.Fault) bool {
		return reason.Kind(f.Kind).Reason() == reason.Clipped.Reason()
	})
}

const (
	// loudnessBlock is the shortest sound that has a loudness, in seconds: one gating
	// block (ITU-R BS.1770-5, annex 1).
	loudnessBlock = 0.4
	// audiblePeak is the true peak in dBTP under which nothing is heard in a club, as
	// for silence in a track.
	audiblePeak = -60
)

// noLevel says why a track has no level; alone tells that nothing else was said of it.
func noLevel(t *Track, alone bool) []because {
	switch {
	case t.Level.Exists() || t.Problem != nil:
	case t.DurationS > 0 && t.DurationS < loudnessBlock && t.True > audiblePeak:
		return []because{{reason.Note, 0, reason.Short, reason.ShortSentence}}
	case !t.DurationS.Exists() && !t.True.Exists():
		return []because{{reason.HoldBack, 0, reason.NoFigures, reason.NoFiguresSentence}}
	case alone:
		return []because{{reason.HoldBack, 0, reason.Silent.Reason(), reason.NothingAudible}}
	}
	return nil
}

// allReasons collects the reasons, the gravest first, one a code.
func allReasons(t *Track, g *group, devs []deviation, tr Trim, found []toned, unlike []because) []because {
	rs := faultReasons(t)
	words := tr.Words()
	words.Thin = slices.ContainsFunc(found, toned.thin)
	for _, d := range devs {
		if d.out && !t.explains(&d) {
			rs = append(rs, deviationReason(&d, g, words, rs))
		}
	}
	for _, f := range found {
		rs = append(rs, toneReason(t, &f, g))
	}
	rs = append(rs, unlike...)
	rs = append(rs, driftReason(t)...)
	rs = append(rs, keyReason(t)...)
	rs = append(rs, noLevel(t, len(rs) == 0)...)
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
