package page

import (
	"math"

	"dubgauge/detect"
	"dubgauge/export/words"
	"dubgauge/library"
)

// LoudestSeconds is the length of the loudest part, which is what trims use and
// what is listened to.
const LoudestSeconds = 30

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
		line.to(x(at), chartY(float64(v+t.PlayedGainLU()), timelineHigh, timelineLow))
	}
	c.Line = line.String()
	if l.Loudest30sStartS.Exists() {
		from := x(float64(l.Loudest30sStartS))
		c.Loudest, c.LoudestX = true, svg(math.Round(from))
		c.LoudestW = svg(math.Round(x(float64(l.Loudest30sStartS)+LoudestSeconds) - from))
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
		ticks = append(ticks, tick{svg(math.Round(x(s))), words.Clock(s)})
	}
	return ticks
}

func timelineWords(t *library.Track) string {
	if !t.Loudness.Loudest30sStartS.Exists() {
		return "No part is loud enough to measure."
	}
	s := "Loudest 30 s: " + words.Page.Loudest(t)
	if t.Reference.LUFS.Exists() {
		s += "; its references " + words.Page.Figure(t.Reference.LUFS, "LUFS")
	}
	return s + "."
}
