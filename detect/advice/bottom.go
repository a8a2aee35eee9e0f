package advice

import (
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
)

// Range is what is usual in a group.
type Range struct {
	References int          `json:"references"`
	Low        detect.Value `json:"low"` // 10th percentile
	Median     detect.Value `json:"median"`
	High       detect.Value `json:"high"` // 90th
}

// Bottom is how kick and bass of a track stand to each other beside its references. It is
// advice only: no verdict comes from it.
type Bottom struct {
	OverBass Range    `json:"over_bass"` // the kick over the bass between the kicks, dB
	Dip      Range    `json:"dip"`       // by how much the bass goes down where it is held through a kick, dB
	Worst    Range    `json:"worst"`     // of the sums of kick and sub at the attack, dB
	Codes    []string `json:"codes"`     // reason.KickBuried, reason.SubOnKick, reason.SubAgainstKick

	own *detect.Kick
}

// rangeOf what one figure is in a group; None of too few.
func rangeOf(group []*detect.Kick, figure func(*detect.Kick) detect.Value) Range {
	var all []detect.Spectrum
	for _, k := range group {
		if k != nil && figure(k).Exists() {
			all = append(all, detect.Spectrum{LoudestDB: detect.Values{figure(k)}})
		}
	}
	r := Range{len(all), detect.None, detect.None, detect.None}
	if len(all) >= FewestReferences {
		low, middle, high := standout.Bands(all, make([]detect.Value, len(all)))
		r.Low, r.Median, r.High = low[0], middle[0], high[0]
	}
	return r
}

// under tells that a figure lies under what is usual, and so far that it is heard.
func (r Range) under(v detect.Value) bool { return v < r.Low && r.Median-v >= Least }

// BottomOf compares a track with its references; nil where nothing is known of it.
func BottomOf(own *detect.Kick, group []*detect.Kick) *Bottom {
	if own == nil {
		return nil
	}
	b := &Bottom{own: own, Codes: []string{},
		OverBass: rangeOf(group, func(k *detect.Kick) detect.Value { return k.OverBassDB }),
		Dip:      rangeOf(group, func(k *detect.Kick) detect.Value { return k.DipDB }),
		Worst:    rangeOf(group, func(k *detect.Kick) detect.Value { return k.AttackWorstDB })}
	if b.OverBass.under(own.OverBassDB) {
		b.Codes = append(b.Codes, reason.KickBuried)
	}
	if b.Dip.under(own.DipDB) {
		b.Codes = append(b.Codes, reason.SubOnKick)
	}
	if own.HeldThrough > 0 && own.AttackWorstDB <= -Least && (b.Worst.References < FewestReferences || b.Worst.under(own.AttackWorstDB)) {
		b.Codes = append(b.Codes, reason.SubAgainstKick)
	}
	return b
}

// Sentences puts it into words: what is, then what to do.
func (b *Bottom) Sentences() []string {
	if b == nil {
		return nil
	}
	k := b.own
	said := reason.Bottom{OverBass: float64(k.OverBassDB), Dip: float64(k.DipDB), Back: float64(k.BackAfterS),
		Note: k.SubNote, Cents: float64(k.SubCents), Hz: float64(k.SubHz), Up: float64(k.SubUp), InKey: k.SubInKey,
		Held: k.HeldThrough, Sum: float64(k.AttackSumDB), Worst: float64(k.AttackWorstDB)}
	out := said.Sentences()
	if slices.Contains(b.Codes, reason.KickBuried) {
		out = append(out, reason.Buried(float64(k.OverBassDB-b.OverBass.Median)))
	}
	if slices.Contains(b.Codes, reason.SubOnKick) {
		out = append(out, reason.OnKick(float64(k.DipDB), float64(b.Dip.Median)))
	}
	if slices.Contains(b.Codes, reason.SubAgainstKick) {
		out = append(out, reason.AgainstKick(float64(k.AttackWorstDB)))
	}
	return out
}
