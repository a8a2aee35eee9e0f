package export

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// detail is one track in full, as the page shows it.
type detail struct {
	ID                        int64
	Path, Verdict, Against    string
	Sentence                  string
	More                      []string // sentences beyond the first, which the row shows
	Trim                      string
	Figures                   []figure
	Strips                    bool // draw each figure against its group's range
	Other, File, Tempo, Key   string
	Faults                    []faultLine
	Problem                   string
	Status, Decided           string
	Evidence                  []string
	Spectrum                  *spectrumChart
	Timeline                  *timelineChart
	Marked                    library.Marks
	Released, Unreleased, Any bool // what the marks say
	Listen                    *listen
}

type faultLine struct{ At, Text string }

// figure is a row of the table of figures.
type figure struct {
	Name, Unit, Value, Range, Median, Diff string
	Strip                                  *strip
}

// strip is a small picture of a figure: the group's range about its median, and
// where the track lies. The middle of the picture is the median.
type strip struct {
	From, Width, At string
	Over            string // "<" or ">" where the track lies outside the picture
}

// newDetail gathers a track. points bounds its timeline; see newTimeline.
func newDetail(t *library.Track, g *groups, points int) *detail {
	d := &detail{
		ID: t.ID, Path: clean(t.Path), Verdict: verdictWord(t), Against: groupWords(&t.Reference), Sentence: sentence(t),
		Trim: trimWords(t), Other: otherWords(t), File: fileWords(t), Tempo: typeset(tempoWords(t)), Key: typeset(keyWords(t)),
		Figures: figures(t), Status: string(t.Status), Marked: t.Marks,
		Released: t.Marks.Status == library.Released, Unreleased: t.Marks.Status == library.Unreleased,
		Any: t.Marks != library.Marks{},
	}
	for _, n := range t.Notes[min(1, len(t.Notes)):] {
		d.More = append(d.More, typeset(n))
	}
	for _, f := range t.Faults {
		d.Faults = append(d.Faults, faultLine{clock(f.AtS), typeset(f.Detail)})
	}
	if t.Error != nil {
		d.Problem = capital(clean(string(t.Error.Kind))) + ": " + typeset(t.Error.Detail) + "."
	}
	d.Decided, d.Evidence = decidedWords(t)
	d.Spectrum = newSpectrum(t, g.of(t))
	d.Timeline = newTimeline(t, points)
	return d
}

// figureRows are the quantities that are judged, as the table names them.
var figureRows = []struct {
	q          standout.Quantity
	name, unit string
}{
	{standout.Level, "Level, loudest 30 s", "LUFS"},
	{standout.LowEnd, "Low end, 20 to 150 Hz", "dB"},
	{standout.Sub, "Sub, 20 to 60 Hz", "dB"},
	{standout.Bass, "Bass, 60 to 150 Hz", "dB"},
	{standout.Mono, "Mono loss below 150 Hz", "dB"},
}

func valueOf(t *library.Track, q standout.Quantity) detect.Value {
	switch q {
	case standout.Level:
		return t.Loudness.Loudest30sLUFS
	case standout.LowEnd:
		return t.LowEnd.LowDB
	case standout.Sub:
		return t.LowEnd.SubDB
	case standout.Bass:
		return t.LowEnd.BassDB
	}
	return t.LowEnd.MonoLossDB
}

func figures(t *library.Track) []figure {
	var out []figure
	for _, r := range figureRows {
		v := valueOf(t, r.q)
		if !v.Exists() {
			continue
		}
		f := figure{Name: r.name, Unit: r.unit, Value: decimals(v, 1), Diff: signed(Deviation(t, r.q).DB, 1)}
		if t.Reference.Basis == "fixed" {
			if d := Deviation(t, r.q).DB; d.Exists() {
				f.Range, f.Median = "fixed value", decimals(v-d, 1)
			}
		} else if s, ok := t.Reference.Stats[r.q]; ok && s.Median.Exists() {
			low, high := s.P10, s.P90
			if s.N < 5 { // percentiles of so few say nothing
				low, high = s.Min, s.Max
			}
			f.Range = decimals(low, 1) + " to " + decimals(high, 1)
			f.Median = decimals(s.Median, 1)
			f.Strip = newStrip(v, low, s.Median, high)
		}
		out = append(out, f)
	}
	return out
}

// The strip is so wide in SVG units, and shows so many dB either way.
const (
	stripWidth = 100.0
	stripReach = 6.0
)

func newStrip(v, low, median, high detect.Value) *strip {
	x := func(v detect.Value) float64 {
		d := math.Max(-stripReach, math.Min(stripReach, float64(v-median)))
		return math.Round(stripWidth/2 + d/stripReach*(stripWidth/2-5))
	}
	s := &strip{From: svg(x(low)), Width: svg(math.Max(2, x(high)-x(low))), At: svg(x(v))}
	switch {
	case v-median > stripReach:
		s.Over = ">"
	case v-median < -stripReach:
		s.Over = "<"
	}
	return s
}

// trimWords says the trim in a sentence.
func trimWords(t *library.Track) string {
	tr := Trims(t)
	switch {
	case t.Marks.Ignore, !tr.TrimDB.Exists():
		return "No trim: there is no level to go by."
	case tr.LimitingDB > 0:
		return fmt.Sprintf("Wanted %s dB; its peaks allow %s dB. The rest is %s dB of limiting in the master.",
			signed(tr.TrimDB, 1), signed(tr.SafeDB, 1), decimals(tr.LimitingDB, 1))
	}
	return fmt.Sprintf("%s dB, which its peaks allow.", signed(tr.SafeDB, 1))
}

// otherWords are the figures that are not judged, in one line.
func otherWords(t *library.Track) string {
	var parts []string
	add := func(what string, v detect.Value, unit string) {
		if v.Exists() {
			parts = append(parts, what+" "+decimals(v, 1)+" "+unit)
		}
	}
	l, p := &t.Loudness, &t.Peak
	add("integrated", l.IntegratedLUFS, "LUFS")
	add("short-term maximum", l.ShortTermMaxLUFS, "LUFS")
	add("momentary maximum", l.MomentaryMaxLUFS, "LUFS")
	add("range", l.RangeLU, "LU")
	add("true peak", p.TruePeakDBTP, "dBTP")
	add("peak to loudness", p.PLRLU, "LU")
	if p.ClippedRuns > 0 {
		parts = append(parts, counted(p.ClippedRuns, "clipped run"))
	}
	if len(parts) == 0 {
		return ""
	}
	return capital(strings.Join(parts, ", ")) + "."
}

// decidedWords says how the status was decided.
func decidedWords(t *library.Track) (decided string, evidence []string) {
	for _, e := range t.Evidence {
		evidence = append(evidence, fmt.Sprintf("%s: %s (%s)", capital(string(e.For)), clean(e.What), clean(e.Where)))
	}
	switch {
	case t.Marks.Status != "":
		decided = "You marked it as " + string(t.Marks.Status) + "."
	case t.Status == library.Unknown && len(evidence) == 0:
		decided = "Unknown: nothing says whether it came out. It is judged, but never serves as a reference."
	case t.Status == library.Unknown:
		decided = "Unknown: what was found points both ways. It is judged, but never serves as a reference."
	default:
		decided = capital(string(t.Status)) + ", from what was found:"
	}
	if t.Marks.Reference {
		decided += " You named it as a reference."
	}
	return decided, evidence
}
