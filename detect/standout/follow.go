package standout

import (
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// nearS is how far, in seconds, a fault may lie from the one that it comes from: what finds
// them tells their places to a beat or a block.
const nearS = 2.0

// consequence is what a fault brings with it, so that one sentence is said of both.
type consequence struct {
	of, are []reason.Kind
	near    bool // only near its place, where it has one
}

var consequences = []consequence{
	{of: []reason.Kind{reason.Truncated}, are: []reason.Kind{reason.CutEnd, reason.CutFade, reason.CutTail, reason.HoleEnd, reason.NoEnd}},
	{of: []reason.Kind{reason.Damaged}, near: true, are: []reason.Kind{reason.Hole, reason.HoleEnd, reason.CutEnd, reason.CutFade, reason.CutTail,
		reason.Jump, reason.Repeat, reason.RepeatUnsure, reason.Click, reason.ClicksFew}},
	{of: []reason.Kind{reason.HoleEnd}, are: []reason.Kind{reason.SilenceEnd, reason.LongEnd, reason.CutEnd, reason.CutFade, reason.CutTail}},
	{of: []reason.Kind{reason.Jump, reason.Repeat, reason.RepeatUnsure}, near: true, are: []reason.Kind{reason.Click, reason.ClicksFew}},
}

// follows tells that a fault of t is only what another of its faults brings with it, which is as
// grave. Of clicks that is one alone: of several, others have another cause.
func (t *Track) follows(f *detect.Fault) bool {
	kind := reason.Kind(f.Kind)
	if (kind == reason.Click || kind == reason.ClicksFew) && f.Count != 1 {
		return false
	}
	return slices.ContainsFunc(consequences, func(c consequence) bool {
		return slices.Contains(c.are, kind) && t.faulty(c.of, func(o *detect.Fault) bool {
			far := o.AtS.Exists() && !(math.Abs(float64(o.AtS-f.AtS)) <= nearS)
			return !(c.near && far) && reason.Kind(o.Kind).Severity() >= kind.Severity()
		})
	})
}

// faulty tells that t has a fault of these kinds of which something holds. A file that was not
// read whole has one, wherever it broke off.
func (t *Track) faulty(kinds []reason.Kind, holds func(o *detect.Fault) bool) bool {
	if p := t.Problem; p != nil && slices.Contains(kinds, reason.Kind(p.Kind)) && holds(&detect.Fault{Kind: string(p.Kind), AtS: detect.None}) {
		return true
	}
	return slices.ContainsFunc(t.Faults, func(o detect.Fault) bool { return slices.Contains(kinds, reason.Kind(o.Kind)) && holds(&o) })
}

// oneSideLoss in dB is what a low end loses in mono of which one side is missing.
//
//	10 log10(2 (1/2)^2) = -3.01
const oneSideLoss = -3.05

// explains tells that a deviation is only what a fault of the track, which is as grave, brings with it:
// true peaks that pass full scale in a track whose peaks are cut flat, and a low end that loses
// in mono what its channels lack or cancel.
func (t *Track) explains(d *deviation) bool {
	grave := func(o *detect.Fault) bool { return reason.Kind(o.Kind).Severity() >= d.severity }
	switch d.Quantity {
	case Peak:
		return clipped(t)
	case Mono:
		return t.faulty([]reason.Kind{reason.Polarity, reason.PolarityPart}, grave) ||
			d.Value >= oneSideLoss && t.faulty([]reason.Kind{reason.DeadChannel, reason.DeadPart, reason.WeakChannel}, grave)
	}
	return false
}

// stumbles tells that the beat of a track does not go on as it was, which a drift of its tempo is
// then measured from, or that its pitch swings, and its tempo with it.
func (t *Track) stumbles() bool {
	return t.faulty([]reason.Kind{reason.Jump, reason.Repeat, reason.RepeatUnsure, reason.Wow, reason.Damaged},
		func(*detect.Fault) bool { return true })
}
