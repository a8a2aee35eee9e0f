package page

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Both charts of one track share a picture of this size and these margins, in
// SVG units.
const (
	chartWidth  = 360.0
	chartHeight = 194.0
	chartLeft   = 34.0
	chartRight  = 354.0
	chartTop    = 26.0
	chartBottom = 162.0
)

// The vertical ends of the charts. A spectrum is drawn in dB relative to the
// track's own loudest-30-s loudness, a timeline in LUFS.
const (
	spectrumHigh, spectrumLow = 5.0, -55.0
	timelineHigh, timelineLow = 0.0, -30.0
)

// thirds is the number of third octaves from 20 Hz to 20 kHz.
const thirds = 31

func chartY(v, high, low float64) float64 {
	v = math.Max(low, math.Min(high, v))
	return chartTop + (high-v)/(high-low)*(chartBottom-chartTop)
}

func bandX(i int) float64 {
	return chartLeft + 6 + float64(i)*(chartRight-chartLeft-12)/(thirds-1)
}

// pen writes an SVG path of straight lines in whole units, each relative to the
// one before, which is the shortest form there is.
type pen struct {
	b     strings.Builder
	x, y  int
	drawn bool
}

func (p *pen) to(x, y float64) {
	i, j := int(math.Round(x)), int(math.Round(y))
	switch {
	case !p.drawn:
		fmt.Fprintf(&p.b, "M%d %dl", i, j)
		p.drawn = true
	default:
		fmt.Fprintf(&p.b, "%d", i-p.x)
		if j-p.y >= 0 {
			p.b.WriteByte(' ')
		}
		fmt.Fprintf(&p.b, "%d ", j-p.y)
	}
	p.x, p.y = i, j
}

func (p *pen) lift() { p.drawn = false }

func (p *pen) String() string { return strings.TrimSuffix(strings.TrimRight(p.b.String(), " "), "l") }

// svg writes a coordinate with at most one decimal.
func svg(v float64) string {
	s := strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return s
}
