package page

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// The dot plot's picture in SVG units, which are pixels at full size.
const (
	plotWidth = 480
	plotLeft  = 14
	plotRight = plotWidth - 14
	plotTop   = 4  // no dot lies above
	plotFloor = 70 // dots stand on it, below it are the figures of the axis
)

// The axis shows at most so much below and above the middle, in dB: one silent
// file must not squeeze all others into a line. What lies beyond stands at the
// end of the axis.
const (
	axisBelow = 16
	axisAbove = 10
)

// dotPlot is a dot a track on one axis, stacked where tracks are alike, with the
// middle 80 % and the median of the references behind it.
type dotPlot struct {
	plotKind
	Alt string
	// Paths are the dots, by kind; each kind is one path, so that thousands
	// of tracks cost a few kilobytes.
	Paths     []dotPath
	Radius    string
	Ticks     []tick
	Band      bool
	BandX     string
	BandWidth string
	MedianX   string
	BandLabel string
	Many      bool   // those that do not stand out are bars
	Dots      string // where each track's dot lies, from left to right: its number, x and y, each behind a space
	lo, hi    float64
}

// plotKind is a quantity as a plot shows it.
type plotKind struct {
	ID, Title, What, Unit string
	q                     standout.Quantity
}

var plotOf = map[standout.Quantity]plotKind{
	standout.Level:  {"level", "Level", "loudest 30 s", "LUFS", standout.Level},
	standout.LowEnd: {"low", "Low end", "20 to 150 Hz", "dB", standout.LowEnd},
}

type dotPath struct{ Class, D string }

type tick struct{ X, Text string }

// newDotPlot lays the tracks out. refs are the figures of the library's references.
func newDotPlot(kind plotKind, tracks []*library.Track, refs standout.Stat) dotPlot {
	p := dotPlot{plotKind: kind}
	shown := make([]*library.Track, 0, len(tracks))
	for _, t := range tracks {
		if p.of(t).Exists() && !t.Marks.Ignore {
			shown = append(shown, t)
		}
	}
	slices.SortStableFunc(shown, func(a, b *library.Track) int { return words.Smallest(p.of(a), p.of(b)) })
	p.scale(shown)
	p.band(refs)
	p.place(shown)
	p.describe(shown)
	return p
}

// of is what the plot shows of a track.
func (p *dotPlot) of(t *library.Track) detect.Value { return valueOf(t, p.q) }

// scale chooses the ends of the axis, whole even numbers.
func (p *dotPlot) scale(sorted []*library.Track) {
	p.lo, p.hi = -12, -4
	if len(sorted) > 0 {
		middle := float64(p.of(sorted[len(sorted)/2]))
		p.lo = math.Max(float64(p.of(sorted[0])), middle-axisBelow)
		p.hi = math.Min(float64(p.of(sorted[len(sorted)-1])), middle+axisAbove)
	}
	p.lo, p.hi = 2*math.Floor((p.lo-0.5)/2), 2*math.Ceil((p.hi+0.5)/2)
	step := 2.0
	if p.hi-p.lo > 16 {
		step = 4
	}
	for v := math.Ceil(p.lo/step) * step; v <= p.hi; v += step {
		p.Ticks = append(p.Ticks, tick{svg(p.x(v)), words.Page.Number(detect.Value(v), 0)})
	}
}

func (p *dotPlot) x(v float64) float64 {
	v = math.Max(p.lo, math.Min(p.hi, v))
	return plotLeft + (v-p.lo)/(p.hi-p.lo)*(plotRight-plotLeft)
}

// band draws the references: the 10th to the 90th percentile and the median.
func (p *dotPlot) band(refs standout.Stat) {
	if refs.N == 0 {
		return
	}
	low, median, high := p.x(float64(refs.P10)), p.x(float64(refs.Median)), p.x(float64(refs.P90))
	p.Band = true
	p.BandX, p.BandWidth, p.MedianX = svg(low), svg(math.Max(2, high-low)), svg(median)
	p.BandLabel = "median of references " + words.Page.Number(refs.Median, 1)
}

// describe is the text alternative.
func (p *dotPlot) describe(sorted []*library.Track) {
	if len(sorted) == 0 {
		p.Alt = "No track has this figure."
		return
	}
	p.Alt = fmt.Sprintf("%s from %s to %s %s", words.Counted(len(sorted), "track"),
		words.Page.Number(p.of(sorted[0]), 1), words.Page.Number(p.of(sorted[len(sorted)-1]), 1), p.Unit)
	if p.Band {
		p.Alt += "; " + p.BandLabel
	}
	p.Alt += "."
}
