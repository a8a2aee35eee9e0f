package page

import (
	"fmt"
	"math"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/words"
	"dubgauge/library"
)

// hear is a step that can be heard: the end of one track, then the start of the next.
type hear struct {
	Out, In heardPart
	// Rate is how many times as fast the incoming track is played: 1 as it is.
	Rate string
	// Words says whether it is in time, and what that does to the pitch.
	Words string
}

// heardPart is a part of a track that is played.
type heardPart struct {
	ID                     int64
	Name                   string
	FromS, LengthS, GainDB string
}

const (
	// heardBeats are played of each track where the beats meet: eight bars of four, as most
	// dance music is counted, and half as many where that takes over mostHeardS.
	heardBeats = 32
	mostHeardS = 20.0
	// plainHeardS is played of each track where they do not.
	plainHeardS = 12.0
	// mostBentPercent is by how much a track is played faster or slower to be in time: as
	// far as the pitch faders of turntables mostly go (common practice, no source).
	mostBentPercent = 8.0
	// leastSure is the chance that both tempi are right from which on they are played in time.
	leastSure = 0.5
	// mostDriftPercent is how far a tempo may drift: over five minutes at 128 BPM half of
	// this moves the last beat by a sixth of a beat.
	mostDriftPercent = 0.05
	// endMarginS keeps a part from the end of the file, which may be a little shorter than
	// it says.
	endMarginS = 0.1
)

// newHear plans how the step between two places is heard; nil where one has no figures.
func newHear(r *running.Order, a, b *running.Place) *hear {
	from, to := &r.Set.Tracks[a.At], &r.Set.Tracks[b.At]
	if !from.End.ToS.Exists() || !to.Start.FromS.Exists() {
		return nil
	}
	h := &hear{Out: mixedPart(a.Track), In: mixedPart(b.Track), Rate: "1"}
	out, in := orNone(r.Trim(a))+over(a.Track), orNone(r.Trim(b))+over(b.Track)
	down := max(0, out, in) // nothing is turned up
	h.Out.GainDB, h.In.GainDB = words.Data.Number(out-down, 2), words.Data.Number(in-down, 2)
	step := r.Step(b)
	if why := notInTime(from, to, a.Track, b.Track, step); why != "" {
		h.Out.set(float64(from.End.ToS)-plainHeardS, float64(from.End.ToS), a.Track)
		h.In.set(float64(to.Start.FromS), float64(to.Start.FromS)+plainHeardS, b.Track)
		h.Words = "Not in time: " + why + "."
		return h
	}
	h.inTime(from, to, a.Track, b.Track, step)
	return h
}

// over is how many dB more than others a track is turned down before it is sent.
func over(t *library.Track) detect.Value { return detect.Value(Headroom(t) - baseHeadroom) }

func orNone(v detect.Value) detect.Value {
	if !v.Exists() {
		return 0
	}
	return v
}

func mixedPart(t *library.Track) heardPart { return heardPart{ID: t.ID, Name: words.Name(t)} }

// set keeps a part within its track.
func (p *heardPart) set(from, to float64, t *library.Track) {
	if d := float64(t.Measurement.File.DurationS); d > 0 {
		to = math.Min(to, d-endMarginS)
	}
	from = math.Max(0, math.Min(from, to-1))
	p.FromS, p.LengthS = words.Data.Number(detect.Value(from), 4), words.Data.Number(detect.Value(to-from), 4)
}

// notInTime says why two tracks cannot be played in time; "" where they can.
func notInTime(from, to *setlist.Track, a, b *library.Track, s *setlist.Step) string {
	switch {
	case !s.Tempo.Percent.Exists() || !a.Measurement.Tempo.FirstBeatS.Exists() || !b.Measurement.Tempo.FirstBeatS.Exists():
		return "one of the tracks has no beat that could be measured"
	case math.Abs(float64(s.Tempo.Percent)) > mostBentPercent:
		return fmt.Sprintf("the tempi lie %s %% apart", words.Page.Number(detect.Value(math.Abs(float64(s.Tempo.Percent))), 1))
	case !(s.Tempo.Confidence >= leastSure):
		return "the tempi are not sure enough"
	case a.Measurement.Tempo.BeatInDoubt() || b.Measurement.Tempo.BeatInDoubt():
		return "the beat of one of the tracks may lie half a beat off"
	case from.EndBPM != from.BPM || to.EndBPM != to.BPM:
		return "the tempo changes within one of the tracks"
	case drifts(a) || drifts(b):
		return "the tempo of one of the tracks drifts"
	}
	return ""
}

// drifts tells that the tempo of a track moves by too much; one whose drift is not known
// does not.
func drifts(t *library.Track) bool {
	return math.Abs(float64(t.Measurement.Tempo.DriftPercent)) > mostDriftPercent
}

// inTime lets the first beat of the incoming part fall where the next beat of the outgoing
// one would: bar on bar where both bar lines are known, else beat on beat.
func (h *hear) inTime(from, to *setlist.Track, a, b *library.Track, s *setlist.Step) {
	bars := a.Measurement.Tempo.FirstDownbeatS.Exists() && b.Measurement.Tempo.FirstDownbeatS.Exists()
	beat, first := grid(from, a, bars)
	n := heardBeats * 60 / float64(from.EndBPM)
	if n > mostHeardS {
		n /= 2
	}
	end := math.Min(float64(from.End.ToS), float64(a.Measurement.File.DurationS)-endMarginS)
	end = first + math.Floor((end-first)/beat)*beat
	h.Out.set(end-n, end, a)
	beat, first = grid(to, b, bars)
	start := first + math.Max(0, math.Ceil((float64(to.Start.FromS)-first)/beat))*beat
	rate := 1 / (1 + float64(s.Tempo.Percent)/100)
	h.In.set(start, start+n*rate, b)
	h.Rate = words.Data.Number(detect.Value(rate), 6)
	h.Words = inTimeWords(rate, s.Tempo.Semitones, bars)
}

// grid is the length of a beat, or a bar, in seconds, and where the first begins.
func grid(t *setlist.Track, m *library.Track, bars bool) (step, first float64) {
	step = 60 / float64(t.BPM)
	if bars {
		return 4 * step, float64(m.Measurement.Tempo.FirstDownbeatS)
	}
	return step, float64(m.Measurement.Tempo.FirstBeatS)
}

func inTimeWords(rate float64, semitones detect.Value, bars bool) string {
	on := "beat on beat"
	if bars {
		on = "bar on bar"
	}
	percent := detect.Value(100 * (rate - 1))
	size := words.Page.Number(detect.Value(math.Abs(float64(percent))), 1)
	if size == "0.0" {
		return "In time, " + on + ": both have one tempo."
	}
	way, pitch := "faster", "higher"
	if percent < 0 {
		way, pitch = "slower", "lower"
	}
	return fmt.Sprintf("In time, %s: the incoming track is played %s %% %s, which makes it %s semitones %s.",
		on, size, way, words.Page.Number(detect.Value(math.Abs(float64(semitones))), 2), pitch)
}
