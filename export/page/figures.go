package page

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// figure is a row of the table of figures.
type figure struct {
	Name, Unit, Value, Range, Median, Diff string
	Out                                    bool // the verdict comes from it
	Strip                                  *strip
}

// strip is a small picture of a figure: the group's range about its median, and
// where the track lies. The middle of the picture is the median.
type strip struct {
	From, Width, At string
	Over            string // "<" or ">" where the track lies outside the picture
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
		return t.PlayedLUFS()
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
		f := figure{Name: r.name, Unit: r.unit, Value: words.Page.Number(v, 1), Diff: words.Page.Signed(words.Deviation(t, r.q).DB, 1), Out: words.StandsOut(t, r.q)}
		if r.q == standout.Mono && reason.NothingLeft(float64(v)) { // the figure of no power is none
			f.Value, f.Unit, f.Diff = "all of it", "", ""
		}
		if t.Reference.Basis == "fixed" {
			if d := words.Deviation(t, r.q).DB; d.Exists() {
				f.Range, f.Median = "fixed value", words.Page.Number(v-d, 1)
			}
		} else if s, ok := t.Reference.Stats[r.q]; ok && s.Median.Exists() {
			low, high := s.P10, s.P90
			if s.N < 5 { // percentiles of so few say nothing
				low, high = s.Min, s.Max
			}
			f.Range = words.Page.Number(low, 1) + " to " + words.Page.Number(high, 1)
			f.Median = words.Page.Number(s.Median, 1)
			f.Strip = newStrip(v, low, s.Median, high)
		}
		out = append(out, f)
	}
	return out
}

// The strip is so wide in SVG units, and shows so many dB either way.
const (
	stripWidth = 120.0
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
