package export

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// The dot plot's picture in SVG units, which are pixels at full size.
const (
	plotWidth  = 480
	plotHeight = 176
	plotLeft   = 14
	plotRight  = plotWidth - 14
	plotTop    = 26  // above it stands the label of the group
	plotFloor  = 132 // dots stand on it, below it are the axis and its title
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
	ID, Title, Unit, Alt string
	// Paths are the dots, by kind; each kind is one path, so that thousands
	// of tracks cost a few kilobytes.
	Paths      []dotPath
	Radius     string
	Ticks      []tick
	Band       bool
	BandX      string
	BandWidth  string
	MedianX    string
	BandLabel  string
	LabelX     string
	LabelSide  string // anchor of the label: start or end
	places     map[int64]string
	lo, hi     float64
	references detect.Value
}

type dotPath struct{ Class, D string }

type tick struct{ X, Text string }

// quantityOf is what a plot shows of a track.
type quantityOf func(*library.Track) detect.Value

func levelOf(t *library.Track) detect.Value  { return t.Loudness.Loudest30sLUFS }
func lowEndOf(t *library.Track) detect.Value { return t.LowEnd.LowDB }

// newDotPlot lays the tracks out. refs are the library's references.
func newDotPlot(id, title, unit string, tracks []library.Track, refs []*library.Track, of quantityOf) dotPlot {
	p := dotPlot{ID: id, Title: title, Unit: unit, places: map[int64]string{}}
	shown := make([]*library.Track, 0, len(tracks))
	for i := range tracks {
		if of(&tracks[i]).Exists() && !tracks[i].Marks.Ignore {
			shown = append(shown, &tracks[i])
		}
	}
	slices.SortStableFunc(shown, func(a, b *library.Track) int { return smallest(of(a), of(b)) })
	p.scale(shown, of)
	p.band(refs, of)
	p.place(shown, of)
	p.describe(shown, refs, of)
	return p
}

// scale chooses the ends of the axis, whole even numbers.
func (p *dotPlot) scale(sorted []*library.Track, of quantityOf) {
	p.lo, p.hi = -12, -4
	if len(sorted) > 0 {
		middle := float64(of(sorted[len(sorted)/2]))
		p.lo = math.Max(float64(of(sorted[0])), middle-axisBelow)
		p.hi = math.Min(float64(of(sorted[len(sorted)-1])), middle+axisAbove)
	}
	p.lo, p.hi = 2*math.Floor((p.lo-0.5)/2), 2*math.Ceil((p.hi+0.5)/2)
	step := 2.0
	if p.hi-p.lo > 16 {
		step = 4
	}
	for v := math.Ceil(p.lo/step) * step; v <= p.hi; v += step {
		p.Ticks = append(p.Ticks, tick{svg(p.x(v)), decimals(detect.Value(v), 0)})
	}
}

func (p *dotPlot) x(v float64) float64 {
	v = math.Max(p.lo, math.Min(p.hi, v))
	return plotLeft + (v-p.lo)/(p.hi-p.lo)*(plotRight-plotLeft)
}

// band draws the references: the 10th to the 90th percentile and the median.
func (p *dotPlot) band(refs []*library.Track, of quantityOf) {
	var x []float64
	for _, t := range refs {
		if v := of(t); v.Exists() {
			x = append(x, float64(v))
		}
	}
	if len(x) == 0 {
		return
	}
	slices.Sort(x)
	low, median, high := dsp.Quantile(x, 0.1), dsp.Quantile(x, 0.5), dsp.Quantile(x, 0.9)
	p.Band = true
	p.BandX, p.BandWidth = svg(p.x(low)), svg(math.Max(2, p.x(high)-p.x(low)))
	p.MedianX = svg(p.x(median))
	p.references = detect.Value(median)
	p.BandLabel = fmt.Sprintf("%s: median %s %s", counted(len(x), "reference"), decimals(detect.Value(median), 1), p.Unit)
	p.LabelX, p.LabelSide = svg(p.x(median)-6), "end"
	if p.x(median) < plotWidth/2 {
		p.LabelX, p.LabelSide = svg(p.x(median)+6), "start"
	}
}

// place stacks the dots: as large as lets the highest stack stand below the top.
func (p *dotPlot) place(sorted []*library.Track, of quantityOf) {
	pitch := 12.0
	for ; pitch > 1.5; pitch *= 0.9 {
		if float64(p.highest(sorted, of, pitch))*pitch <= plotFloor-plotTop-4 {
			break
		}
	}
	p.Radius = svg(pitch * 0.42)
	paths := map[string]*strings.Builder{}
	stack := map[int]int{}
	for _, t := range sorted {
		bin := int(p.x(float64(of(t))) / pitch)
		x, y := (float64(bin)+0.5)*pitch, plotFloor-2-(float64(stack[bin])+0.5)*pitch
		stack[bin]++
		class := dotClass(t)
		if paths[class] == nil {
			paths[class] = &strings.Builder{}
		}
		dot(paths[class], t.Status, x, y, pitch*0.42)
		p.places[t.ID] = svg(math.Round(x)) + " " + svg(math.Round(y))
	}
	for _, class := range dotClasses {
		if b := paths[class]; b != nil {
			p.Paths = append(p.Paths, dotPath{class, b.String()})
		}
	}
}

func (p *dotPlot) highest(sorted []*library.Track, of quantityOf, pitch float64) int {
	stack, top := map[int]int{}, 0
	for _, t := range sorted {
		bin := int(p.x(float64(of(t))) / pitch)
		stack[bin]++
		top = max(top, stack[bin])
	}
	return top
}

// dotClasses in the order in which they are drawn. A filled dot stands out.
var dotClasses = []string{"released", "unknown", "unreleased", "released out", "unknown out", "unreleased out"}

func dotClass(t *library.Track) string {
	class := string(t.Status)
	if t.Verdict != standout.Ready {
		class += " out"
	}
	return class
}

// dot draws a circle for what is released, a diamond for what is not, and a
// square for what is not known.
func dot(b *strings.Builder, status library.Status, x, y, r float64) {
	switch status {
	case library.Released:
		fmt.Fprintf(b, "M%s %sa%s %s 0 1 1 0 .01z", svg(x), svg(y-r), svg(r), svg(r))
	case library.Unreleased:
		r *= 1.15
		fmt.Fprintf(b, "M%s %sl%s %s-%s %s-%s-%sz", svg(x), svg(y-r), svg(r), svg(r), svg(r), svg(r), svg(r), svg(r))
	default:
		r *= 0.85
		fmt.Fprintf(b, "M%s %sh%sv%sh-%sz", svg(x-r), svg(y-r), svg(2*r), svg(2*r), svg(2*r))
	}
}

// describe is the text alternative.
func (p *dotPlot) describe(sorted []*library.Track, refs []*library.Track, of quantityOf) {
	if len(sorted) == 0 {
		p.Alt = "No track has this figure."
		return
	}
	p.Alt = fmt.Sprintf("%s from %s to %s %s", counted(len(sorted), "track"),
		decimals(of(sorted[0]), 1), decimals(of(sorted[len(sorted)-1]), 1), p.Unit)
	if p.Band {
		p.Alt += "; " + p.BandLabel
	}
	p.Alt += "."
}

// svg writes a coordinate with at most one decimal.
func svg(v float64) string {
	s := strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}
