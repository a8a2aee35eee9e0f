package standout

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/faults"
)

// reason is one reason for a verdict.
type reason struct {
	severity severity
	weight   float64 // orders reasons of one severity: the deviation in audible steps
	code     string
	sentence string // what, by how much, against what, what to do
}

// faultWeight puts faults before deviations of the same severity: a file that
// does not play is worse than one that plays low.
const faultWeight = 1000

// faultReasons are the reasons that come from faults and from a file that was
// read in part only.
func faultReasons(t *Track) []reason {
	var rs []reason
	for _, f := range t.Faults {
		k := faults.Kind(f.Kind)
		if k == faults.FormatNewer {
			continue // stays in the list of faults; here it would stand on every FLAC file
		}
		s := f.Detail
		if f.AtS.Exists() {
			s += " (at " + clock(float64(f.AtS)) + ")"
		}
		rs = append(rs, reason{severity(k.Severity()), faultWeight, k.Reason(), joinSentence(s, k)})
	}
	if t.Problem != nil && !slices.ContainsFunc(rs, func(r reason) bool { return r.code == t.Problem.Kind }) {
		rs = append(rs, problemReason(t.Problem))
	}
	return rs
}

// joinSentence puts what was found, what it does and what to do in one line.
func joinSentence(found string, k faults.Kind) string {
	s := capital(found)
	for _, part := range []string{k.Effect(), k.Remedy()} {
		if part != "" {
			s = strings.TrimRight(s, ".") + ". " + part
		}
	}
	return s
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// clock writes seconds as minutes and seconds.
func clock(s float64) string {
	n := int(math.Round(s))
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

// problemReason is the reason of a file that could not be read, or not wholly.
func problemReason(p *detect.Problem) reason {
	code, remedy := p.Kind, "copy the file again from its source"
	switch p.Kind {
	case "unsupported":
		code, remedy = "format", "convert a copy to WAV, AIFF, FLAC or MP3"
	case "unreadable":
		remedy = "check the stick and the permissions of the file"
	}
	sentence := capital(p.Detail)
	if !strings.Contains(p.Detail, p.Kind) {
		sentence = capital(p.Kind) + ": " + p.Detail
	}
	return reason{holdBack, 2 * faultWeight, code, sentence + ": " + remedy + "."}
}

// driftLimit in percent is the drift of tempo that a DJ has to follow by hand: at
// 128 BPM a quarter of a beat in 24 s. Common practice, no source.
const driftLimit = 0.5

// driftReason names a tempo that does not hold. It changes no verdict: many good
// records were played by hand.
func driftReason(t *Track) []reason {
	if d := math.Abs(float64(t.DriftPercent)); d >= driftLimit {
		return []reason{{note, 0, "tempo drift", fmt.Sprintf("The tempo drifts by %.1f %%: ride the pitch, or mix short.", d)}}
	}
	return nil
}

// deviationReason puts a deviation in words.
func deviationReason(t *Track, d *deviation, g *group, tr Trim) reason {
	dB := math.Abs(float64(d.DB))
	code := d.code()
	s := fmt.Sprintf(wording[code].what, dB) + " than " + against(d, g) + ": " + wording[code].remedy
	switch d.Quantity {
	case Level:
		s += trimWords(tr)
		if t.OneChannel {
			s += ". It is a mono file, which plays 3 dB louder on two loudspeakers than it reads: allow for that"
		}
	case Peak:
		s = fmt.Sprintf("True peak %.1f dB over full scale, %.1f dB more than %s: %s",
			float64(d.Value), dB, against(d, g), wording[code].remedy)
	case Mono:
		s = fmt.Sprintf("The low end loses %.1f dB in mono, %.1f dB more than %s: %s",
			-float64(d.Value), dB, against(d, g), wording[code].remedy)
	default:
		s = strings.ReplaceAll(s, "{dB}", fmt.Sprintf("%.1f dB", dB))
	}
	return reason{d.severity, dB / d.rule.audible, code, s + "."}
}

// wording of each deviation: what is said of it, with the amount, and what to do.
var wording = map[string]struct{ what, remedy string }{
	"quiet":           {"%.1f LU quieter", ""},
	"loud":            {"%.1f LU louder", ""},
	"low end thin":    {"Low end (20 to 150 Hz) %.1f dB thinner", "raise it by about {dB} with a low shelf, or bring the low EQ up while mixing"},
	"low end heavy":   {"Low end (20 to 150 Hz) %.1f dB heavier", "lower it by about {dB} with a low shelf, or take the low EQ down while mixing"},
	"sub thin":        {"Sub (20 to 60 Hz) %.1f dB thinner", "raise it by about {dB} below 60 Hz if there is sub to raise, or layer one"},
	"sub heavy":       {"Sub (20 to 60 Hz) %.1f dB heavier", "lower it by about {dB} below 60 Hz before it eats the headroom of the system"},
	"bass thin":       {"Bass (60 to 150 Hz) %.1f dB thinner", "raise it by about {dB} between 60 and 150 Hz"},
	"bass heavy":      {"Bass (60 to 150 Hz) %.1f dB heavier", "lower it by about {dB} between 60 and 150 Hz"},
	"mono loss":       {"", "sum the low end to mono below about 150 Hz and listen in mono"},
	"over full scale": {"", "turn it down before any stage that converts or encodes, or limit by true peak"},
}

// trimWords says what to do about the level.
func trimWords(tr Trim) string {
	switch {
	case tr.TrimDB <= 0 && tr.LimitingDB <= 0:
		return fmt.Sprintf("trim %+.1f dB", tr.TrimDB)
	case tr.LimitingDB <= 0:
		return fmt.Sprintf("trim %+.1f dB, which its peaks allow", tr.TrimDB)
	case tr.TrimDB <= 0:
		return fmt.Sprintf("trim %+.1f dB, or %+.1f dB to keep its true peak under the ceiling as well", tr.TrimDB, tr.SafeDB)
	}
	return fmt.Sprintf("it needs %+.1f dB, of which its peaks allow %+.1f dB; the rest is %.1f dB of limiting in the master",
		tr.TrimDB, tr.SafeDB, tr.LimitingDB)
}

// against names what the track was held against.
func against(d *deviation, g *group) string {
	unit := "dB"
	switch d.Quantity {
	case Level:
		unit = "LUFS"
	case Peak:
		unit = "dBTP"
	}
	figure := fmt.Sprintf("%+.1f %s", float64(d.centre), unit)
	if d.Quantity == Level {
		figure = fmt.Sprintf("%.1f %s", float64(d.centre), unit)
	}
	switch g.Basis {
	case "fixed":
		return fmt.Sprintf("the fixed value of %s (common practice, no source; too few references)", figure)
	case "tempo":
		return fmt.Sprintf("the %d released tracks within 6 %% of its tempo (median %s)", g.Tracks, figure)
	case "named":
		return fmt.Sprintf("%s (median %s)", counted(g.Tracks, "named reference"), figure)
	}
	few := ""
	if g.Tracks < MinTempoGroup {
		few = ", few"
	}
	return fmt.Sprintf("the %d released tracks (median %s%s)", g.Tracks, figure, few)
}

func counted(n int, what string) string {
	if n == 1 {
		return "the " + what
	}
	return fmt.Sprintf("the %d %ss", n, what)
}

// merge keeps the first reason of each code and appends the sentences of the
// others to it, so that codes and sentences stay in step.
func merge(rs []reason) []reason {
	at := map[string]int{}
	var out []reason
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
