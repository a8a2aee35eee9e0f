package page

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/library"
)

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
	Moved       string // where the moves of the advice would take it
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
