package export

import (
	"fmt"
	"math"
	"strings"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// minus is the typographic one; pages use it, sheets for programs never do.
const minus = "\u2212"

// decimals writes v for people: a typographic minus, nothing when it does not
// exist.
func decimals(v detect.Value, n int) string {
	return strings.Replace(number(v, n), "-", minus, 1)
}

// signed is decimals with a plus sign before what is above zero.
func signed(v detect.Value, n int) string {
	s := decimals(v, n)
	if v > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// typeset puts typographic minus signs before the numbers of a sentence.
func typeset(s string) string {
	var b strings.Builder
	r := []rune(clean(s))
	for i, c := range r {
		opens := i == 0 || r[i-1] == ' ' || r[i-1] == '('
		if c == '-' && opens && i+1 < len(r) && r[i+1] >= '0' && r[i+1] <= '9' {
			b.WriteString(minus)
			continue
		}
		b.WriteRune(c)
	}
	return b.String()
}

// clock writes seconds as minutes and seconds, with hours where there are any.
func clock(v detect.Value) string {
	if !v.Exists() || v < 0 {
		return ""
	}
	s := int64(math.Floor(float64(v)))
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// verdictWord heads a track.
func verdictWord(t *library.Track) string {
	if t.Marks.Ignore {
		return "Ignored"
	}
	return capital(string(t.Verdict))
}

// sentence is the verdict in one sentence.
func sentence(t *library.Track) string {
	switch {
	case t.Marks.Ignore:
		return "Left out of verdicts, groups and exports, as you asked."
	case len(t.Notes) > 0:
		return typeset(t.Notes[0])
	case !t.MismatchDB.Exists():
		return "Nothing to hold against its references."
	}
	return fmt.Sprintf("Sits with its references: %s LU in level%s.", signed(t.MismatchDB, 1), lowWords(t))
}

func lowWords(t *library.Track) string {
	if d := Deviation(t, standout.LowEnd).DB; d.Exists() {
		return ", " + signed(d, 1) + " dB in the low end"
	}
	return ""
}

// groupWords names what a track is held against.
func groupWords(g *standout.Group) string {
	switch g.Basis {
	case "tempo":
		return fmt.Sprintf("%s within 6 %% of %s BPM", counted(g.Tracks, "released track"), decimals(g.BPM, 1))
	case "named":
		return counted(g.Tracks, "reference") + " named by hand"
	case "released":
		return counted(g.Tracks, "released track")
	case "fixed":
		return "fixed values (common practice, no source), as there are too few references"
	}
	return "nothing"
}

func counted(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// how sure a figure between 0 and 1 is, in words.
func sure(confidence detect.Value) string {
	switch {
	case !confidence.Exists():
		return ""
	case confidence >= 0.8:
		return ", sure"
	case confidence >= 0.5:
		return ", fairly sure"
	}
	return ", unsure"
}

// tempoWords says the tempo in words.
func tempoWords(t *library.Track) string {
	m := &t.Measurement.Tempo
	if !m.BPM.Exists() {
		if t.Tags.BPM != nil {
			return fmt.Sprintf("%s BPM by its tag; none measured.", decimals(detect.Value(*t.Tags.BPM), 1))
		}
		return "No tempo found."
	}
	s := decimals(m.BPM, 1) + " BPM" + sure(m.Confidence)
	if m.AlternativeBPM.Exists() {
		s += fmt.Sprintf("; may be felt as %s", decimals(m.AlternativeBPM, 1))
	}
	if d := math.Abs(float64(m.DriftPercent)); d >= 0.05 {
		s += fmt.Sprintf("; drifts by %.1f %%", d)
		if m.DriftFromS.Exists() && m.DriftFromS > 0 {
			s += " from " + clock(m.DriftFromS)
		}
	}
	if m.FirstBeatS.Exists() {
		s += fmt.Sprintf("; first beat at %s s", decimals(m.FirstBeatS, 2))
	}
	return s + "."
}

// keyWords says the key in words.
func keyWords(t *library.Track) string {
	k := t.Measurement.Key
	if k == nil {
		if t.Tags.Key != "" {
			return clean(t.Tags.Key) + " by its tag; none measured."
		}
		return "No key found."
	}
	s := clean(k.Name) + sure(k.Confidence)
	if k.RunnerUp != "" {
		s += "; else " + clean(k.RunnerUp)
	}
	switch {
	case k.TuningCents >= 5:
		s += fmt.Sprintf("; tuned %s cents sharp", decimals(k.TuningCents, 0))
	case k.TuningCents <= -5:
		s += fmt.Sprintf("; tuned %s cents flat", decimals(-k.TuningCents, 0))
	}
	return s + "."
}

// fileWords says what kind of file it is.
func fileWords(t *library.Track) string {
	f := &t.Measurement.File
	var parts []string
	add := func(s string, ok bool) {
		if ok {
			parts = append(parts, s)
		}
	}
	add(strings.ToUpper(clean(f.Format)), f.Format != "")
	if f.BitDepth != nil {
		add(fmt.Sprintf("%d bit", *f.BitDepth), true)
	}
	if f.BitrateKbps != nil {
		add(fmt.Sprintf("%d kbit/s", *f.BitrateKbps), true)
	}
	add(strings.TrimSuffix(fmt.Sprintf("%.1f", float64(f.SampleRateHz)/1000), ".0")+" kHz", f.SampleRateHz > 0)
	switch f.Channels {
	case 0:
	case 1:
		add("mono", true)
	case 2:
		add("stereo", true)
	default:
		add(fmt.Sprintf("%d channels", f.Channels), true)
	}
	add(clock(f.DurationS), f.DurationS.Exists())
	add(fmt.Sprintf("%.1f MB", float64(f.SizeBytes)/1e6), f.SizeBytes > 0)
	return strings.Join(parts, ", ")
}

// day writes a date the way that reads the same everywhere.
func day(t time.Time) string { return t.Format("2 January 2006, 15:04") }
