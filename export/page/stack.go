package page

import (
	"fmt"
	"strconv"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

const (
	// Dots are as large as lets them stand beside and above each other, between these, in SVG
	// units. Where the smallest stand too high, they overlap, as much in each column.
	largestDot, smallestDot = 12.0, 5.0
	// manyDots is the count from which those that do not stand out are bars.
	manyDots = 400
	// gap is what a diamond is wider than the circle of its size.
	gap = 1.15
)

// columns are the tracks by where they lie across, in the order of their figures.
func (p *dotPlot) columns(sorted []*library.Track, pitch float64) (all map[int][]*library.Track, most int) {
	all = map[int][]*library.Track{}
	for _, t := range sorted {
		at := int(p.x(float64(p.of(t))) / pitch)
		all[at] = append(all[at], t)
		most = max(most, len(all[at]))
	}
	return all, most
}

// place stacks the dots of each column on the floor, none above the top.
func (p *dotPlot) place(sorted []*library.Track) {
	const room = plotFloor - 2 - plotTop
	pitch := largestDot
	all, most := p.columns(sorted, pitch)
	for float64(most)*pitch > room && pitch > smallestDot {
		pitch = max(smallestDot, pitch*0.85)
		all, most = p.columns(sorted, pitch)
	}
	p.Many = len(sorted) > manyDots
	paths := map[string]*strings.Builder{}
	var places strings.Builder
	step := min(pitch, room/float64(max(1, most)))
	for at := 0; at <= int(plotWidth/pitch); at++ {
		p.stack(all[at], (float64(at)+0.5)*pitch, step, pitch*0.42, paths, &places)
	}
	p.Dots = strings.TrimPrefix(places.String(), " ")
	for _, class := range dotClasses {
		if b := paths[class]; b != nil {
			p.Paths = append(p.Paths, dotPath{class, b.String()})
		}
	}
}

// stack draws one column, those that stand out on top, and notes where each lies.
func (p *dotPlot) stack(column []*library.Track, x, step, r float64, paths map[string]*strings.Builder, places *strings.Builder) {
	y := plotFloor - 2 - max(step/2, r*gap)
	low := float64(plotTop) + r*gap // a dot's middle goes no higher
	var plain, out []*library.Track
	for _, t := range column {
		if words.StandsOut(t, p.q) {
			out = append(out, t)
		} else {
			plain = append(plain, t)
		}
	}
	for i, t := range append(plain, out...) {
		middle := max(low, y-float64(i)*step)
		places.WriteString(" " + strconv.FormatInt(t.ID, 10) + " " + strconv.FormatFloat(x, 'f', 0, 64) + " " + strconv.FormatFloat(middle, 'f', 0, 64))
		if class := p.dotClass(t); class != bars {
			dot(pathIn(paths, class), t.Status, x, middle, r)
		}
	}
	if p.Many && len(plain) > 0 {
		high := min(float64(len(plain))*step+r, plotFloor-2-plotTop)
		fmt.Fprintf(pathIn(paths, bars), "M%s %sh%sv-%sh-%sz", svg(x-r), svg(plotFloor-2), svg(2*r), svg(high), svg(2*r))
	}
}

func pathIn(paths map[string]*strings.Builder, class string) *strings.Builder {
	if paths[class] == nil {
		paths[class] = &strings.Builder{}
	}
	return paths[class]
}

// bars are what stands for many tracks that do not stand out.
const bars = "bars"

// dotClasses in the order in which they are drawn. A filled dot stands out in what the plot
// shows.
var dotClasses = []string{bars, "released", "unknown", "unreleased", "released out", "unknown out", "unreleased out"}

func (p *dotPlot) dotClass(t *library.Track) string {
	class := string(t.Status)
	switch {
	case words.StandsOut(t, p.q):
		return class + " out"
	case p.Many:
		return bars
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
		r *= gap
		fmt.Fprintf(b, "M%s %sl%s %s-%s %s-%s-%sz", svg(x), svg(y-r), svg(r), svg(r), svg(r), svg(r), svg(r), svg(r))
	default:
		r *= 0.85
		fmt.Fprintf(b, "M%s %sh%sv%sh-%sz", svg(x-r), svg(y-r), svg(2*r), svg(2*r), svg(2*r))
	}
}
