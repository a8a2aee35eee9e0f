package export

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/library"
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

// group is the reference group of one or more tracks as the spectrum chart
// shows it.
type group struct {
	Number        int
	Area, Median  string // paths: 10th to 90th percentile, and the median
	p10, p50, p90 []detect.Value
}

// newGroup draws the percentiles.
func newGroup(number int, p10, p50, p90 []detect.Value) *group {
	g := &group{Number: number, p10: p10, p50: p50, p90: p90}
	var area, median pen
	for i, v := range p90 {
		if v.Exists() {
			area.to(bandX(i), chartY(float64(v), spectrumHigh, spectrumLow))
			median.to(bandX(i), chartY(float64(p50[i]), spectrumHigh, spectrumLow))
		}
	}
	for i := len(p10) - 1; i >= 0; i-- {
		if p10[i].Exists() {
			area.to(bandX(i), chartY(float64(p10[i]), spectrumHigh, spectrumLow))
		}
	}
	g.Area, g.Median = area.String()+"z", median.String()
	return g
}

// spectrumChart is a track's third-octave spectrum against its group.
type spectrumChart struct {
	Line, Words string
	Group       *group
}

func newSpectrum(t *library.Track, g *group) *spectrumChart {
	level := t.Loudness.Loudest30sLUFS
	if !level.Exists() || len(t.Spectrum.LoudestDB) == 0 {
		return nil
	}
	var line pen
	for i, v := range t.Spectrum.LoudestDB {
		if i >= thirds {
			break
		}
		if !v.Exists() {
			line.lift()
			continue
		}
		line.to(bandX(i), chartY(float64(v-level), spectrumHigh, spectrumLow))
	}
	return &spectrumChart{Line: line.String(), Group: g, Words: outside(t, g)}
}

// outside says in words where a spectrum leaves its group's range.
func outside(t *library.Track, g *group) string {
	if g == nil {
		return "No group to hold it against."
	}
	var runs []string
	for i := 0; i < len(g.p10) && i < len(t.Spectrum.LoudestDB); {
		side, worst := leaves(t, g, i)
		from := i
		for i++; side != 0 && i < len(g.p10) && i < len(t.Spectrum.LoudestDB); i++ {
			s, d := leaves(t, g, i)
			if s != side {
				break
			}
			worst = math.Max(worst, d)
		}
		if side != 0 && worst >= 1 { // dB; less is not worth a word
			word := "under"
			if side > 0 {
				word = "over"
			}
			runs = append(runs, fmt.Sprintf("%s, up to %.1f dB %s", span(t.Spectrum.CentreHz, from, i-1), worst, word))
		}
	}
	if len(runs) == 0 {
		return "Within the range of its references."
	}
	return "Outside the range of its references: " + strings.Join(runs, "; ") + "."
}

// leaves tells on which side of the group's range a band lies, and how far out
// in dB.
func leaves(t *library.Track, g *group, i int) (side int, dB float64) {
	v := t.Spectrum.LoudestDB[i] - t.Loudness.Loudest30sLUFS
	switch {
	case v > g.p90[i]:
		return 1, float64(v - g.p90[i])
	case v < g.p10[i]:
		return -1, float64(g.p10[i] - v)
	}
	return 0, 0
}

func span(centres []float64, from, to int) string {
	if to >= len(centres) {
		return "the top"
	}
	if from == to {
		return hertz(centres[from])
	}
	return hertz(centres[from]) + " to " + hertz(centres[to])
}

func hertz(f float64) string {
	if f >= 1000 {
		return fmt.Sprintf("%g kHz", f/1000)
	}
	return fmt.Sprintf("%g Hz", f)
}

// timelineChart is a track's loudness over time.
type timelineChart struct {
	Line, Words        string
	LoudestX, LoudestW string
	Loudest            bool
	GroupY, GroupTextY string
	Ticks              []tick
}

// newTimeline draws at most points steps: where the track has more, each stands
// for the loudest of several.
func newTimeline(t *library.Track, points int) *timelineChart {
	l, duration := &t.Loudness, float64(t.Measurement.File.DurationS)
	if len(l.TimelineLUFS) == 0 || !(duration > 0) {
		return nil
	}
	x := func(s float64) float64 { return chartLeft + math.Min(1, s/duration)*(chartRight-chartLeft) }
	c := &timelineChart{Ticks: timeTicks(duration, x), Words: timelineWords(t)}
	join := (len(l.TimelineLUFS) + points - 1) / points
	var line pen
	for i := 0; i < len(l.TimelineLUFS); i += join {
		v := detect.None
		for _, s := range l.TimelineLUFS[i:min(i+join, len(l.TimelineLUFS))] {
			if s.Exists() && !(v > s) {
				v = s
			}
		}
		if !v.Exists() {
			v = timelineLow
		}
		at := (float64(i) + float64(join)/2) * float64(l.TimelineStepS)
		line.to(x(at), chartY(float64(v), timelineHigh, timelineLow))
	}
	c.Line = line.String()
	if l.Loudest30sStartS.Exists() {
		from := x(float64(l.Loudest30sStartS))
		c.Loudest, c.LoudestX = true, svg(math.Round(from))
		c.LoudestW = svg(math.Round(x(float64(l.Loudest30sStartS)+segmentSeconds) - from))
	}
	if t.Reference.LUFS.Exists() {
		y := math.Round(chartY(float64(t.Reference.LUFS), timelineHigh, timelineLow))
		c.GroupY, c.GroupTextY = svg(y), svg(y-4)
	}
	return c
}

// timeTicks are at most five round times.
func timeTicks(duration float64, x func(float64) float64) []tick {
	step := 5.0
	for _, step = range []float64{5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200} {
		if duration/step <= 4.5 {
			break
		}
	}
	var ticks []tick
	for s := 0.0; s <= duration*0.97; s += step {
		ticks = append(ticks, tick{svg(math.Round(x(s))), clock(detect.Value(s))})
	}
	return ticks
}

func timelineWords(t *library.Track) string {
	if !t.Loudness.Loudest30sStartS.Exists() {
		return "No part is loud enough to measure."
	}
	s := fmt.Sprintf("Loudest 30 s from %s: %s LUFS", clock(t.Loudness.Loudest30sStartS), decimals(t.Loudness.Loudest30sLUFS, 1))
	if t.Reference.LUFS.Exists() {
		s += fmt.Sprintf("; its references %s LUFS", decimals(t.Reference.LUFS, 1))
	}
	return s + "."
}
