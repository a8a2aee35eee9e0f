package page

import (
	"fmt"
	"strings"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

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
	var places strings.Builder
	for _, t := range sorted {
		bin := int(p.x(float64(of(t))) / pitch)
		x, y := (float64(bin)+0.5)*pitch, plotFloor-2-(float64(stack[bin])+0.5)*pitch
		stack[bin]++
		class := dotClass(t)
		if paths[class] == nil {
			paths[class] = &strings.Builder{}
		}
		dot(paths[class], t.Status, x, y, pitch*0.42)
		fmt.Fprintf(&places, " %d %.0f %.0f", t.ID, x, y)
	}
	p.Dots = strings.TrimPrefix(places.String(), " ")
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
