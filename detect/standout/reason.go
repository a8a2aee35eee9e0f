package standout

import (
	"math"
	"slices"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// because is one reason for a verdict.
type because struct {
	severity reason.Severity
	weight   float64 // orders reasons of one severity: the deviation in audible steps
	code     string
	sentence string // what, by how much, against what, what to do
}

// faultWeight puts faults before deviations of the same severity: a file that
// does not play is worse than one that plays low.
const faultWeight = 1000

// faultReasons are the reasons that come from faults and from a file that was
// read in part only.
func faultReasons(t *Track) []because {
	var rs []because
	for _, same := range t.named() {
		k := reason.Kind(same[0].Kind)
		rs = append(rs, because{k.Severity(), faultWeight, k.Reason(), k.Sentence(together(same))})
	}
	if p := t.Problem; p != nil && !slices.ContainsFunc(rs, func(r because) bool { return r.code == string(p.Kind) }) {
		rs = append(rs, problemReason(p))
	}
	return rs
}

// named are the faults that have a sentence, those of a kind together.
func (t *Track) named() (kinds [][]detect.Fault) {
	for i := range t.Faults {
		f := &t.Faults[i]
		if f.Kind == string(reason.FormatNewer) || t.follows(f) {
			continue // the first stays in the list of faults; here it would stand on every FLAC file
		}
		same := slices.IndexFunc(kinds, func(k []detect.Fault) bool { return k[0].Kind == f.Kind })
		if same < 0 {
			same = len(kinds)
			kinds = append(kinds, nil)
		}
		kinds[same] = append(kinds[same], *f)
	}
	return kinds
}

// together is what was found in faults of a kind, each with its place where they are several,
// and the place of one alone; each once.
func together(same []detect.Fault) (detail string, at float64) {
	if len(same) == 1 {
		return same[0].Detail, float64(same[0].AtS)
	}
	var all []string
	for _, f := range same {
		s := f.Detail
		if clock := reason.Clock(float64(f.AtS)); s != "" && clock != "" {
			s += " (at " + clock + ")"
		}
		if s != "" && !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return strings.Join(all, "; "), math.NaN()
}

// problemReason is the reason of a file that could not be read, or not wholly.
func problemReason(p *detect.Problem) because {
	return because{reason.HoldBack, 2 * faultWeight, p.Kind.Reason(), p.Kind.Sentence(p.Detail)}
}

// driftLimit in percent is the drift of tempo that a DJ has to follow by hand: at
// 128 BPM a quarter of a beat in 24 s. Common practice, no source.
const driftLimit = 0.5

// driftReason names a tempo that changes or does not hold. It changes no verdict: many
// good records were played by hand.
func driftReason(t *Track) []because {
	if t.ChangeAtS.Exists() && t.ChangeTo > 0 {
		said := reason.Change(float64(t.ChangeAtS), float64(t.ChangeFrom), float64(t.ChangeTo))
		return []because{{reason.Note, 0, reason.TempoChange, said}}
	}
	if d := math.Abs(float64(t.DriftPercent)); d >= driftLimit && !t.stumbles() {
		return []because{{reason.Note, 0, reason.TempoDrift, reason.Drift(d)}}
	}
	return nil
}

// unlikeReason says that no reference is like a track, and whether it was judged all the same.
func unlikeReason(unlike, other bool) []because {
	switch {
	case other:
		return []because{{reason.Note, 0, reason.Unlike, reason.UnlikeSentence}}
	case unlike:
		return []because{{reason.Note, 0, reason.Unlike, reason.FarSentence}}
	}
	return nil
}

// keyReason names a key that changes. It changes no verdict: songs do so.
func keyReason(t *Track) []because {
	if len(t.KeyChanges) == 0 || !t.KeyChanges[0].AtS.Exists() {
		return nil
	}
	c := t.KeyChanges[0]
	return []because{{reason.Note, 0, reason.KeyChange, reason.Modulation(float64(c.AtS), c.From, c.To, len(t.KeyChanges)-1)}}
}

// deviationReason is the reason of a quantity that stands out.
func deviationReason(d *deviation, g *group, tr reason.Trim, faults []because) because {
	said := reason.Deviation{
		Code: d.code(), Value: float64(d.Value), Off: float64(d.DB),
		Against: reason.Group{Basis: g.Basis, Tracks: g.Tracks, Few: g.Tracks < Few, Usual: g.Basis == reason.BasisNamed && g.Tracks < MinGroup, Centre: float64(d.centre)},
		Trim:    tr,
	}
	said.Answered = slices.ContainsFunc(faults, func(f because) bool { return f.code == said.Code })
	return because{d.severity, math.Abs(said.Off) / d.rule.audible, said.Code, said.Sentence()}
}

// noSubDB is the level of the sub against the bass under which there is nothing to raise
// below 60 Hz.
const noSubDB = -8.0

// toneReason is the reason of a part of the spectrum that stands out.
func toneReason(t *Track, f *toned, g *group) because {
	said := reason.Tone{Code: f.Code, Off: float64(f.DB), Filter: f.way.move.filter, Hz: f.way.move.hz,
		Against: reason.Group{Basis: g.Basis, Tracks: g.Tracks}, NoSub: t.Balance.SubShareDB < noSubDB, Behind: f.behind}
	return because{f.severity, math.Abs(float64(f.DB)) / f.way.move.audible, f.Code, said.Sentence()}
}

// merge keeps the first reason of each code and appends the sentences of the
// others to it, so that codes and sentences stay in step.
func merge(rs []because) []because {
	at := map[string]int{}
	var out []because
	for _, r := range rs {
		i, seen := at[r.code]
		if !seen {
			at[r.code] = len(out)
			out = append(out, r)
			continue
		}
		if out[i].sentence != r.sentence {
			out[i].sentence += " " + r.sentence
		}
	}
	return out
}
