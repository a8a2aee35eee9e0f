package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// endNear is how far the level right at a cut end may lie under that of the 50 ms
	// beside it, in dB: a note that is let go is further down.
	endNear = 8.0
	// endJump is what one of the last two samples has, in the RMS of those 50 ms, where a wave is
	// cut that happens to cross zero there, and endFalls how far, in power, these may lie under
	// the 50 ms from 90 ms before the end on, 3 dB: a hit that dies away falls by more.
	endJump, endFalls = 0.5, 0.5
	// endLoud is how far that may lie under the loud parts of the track, in dB: what is
	// quieter is a tail or the noise of a room.
	endLoud = 20.0
	// Music begins and ends on purpose on a beat, to endGrid seconds, or, to quarterGrid, on
	// a sixteenth, as the beat that was found may lie one off; to halfGrid it begins between
	// two as well.
	// Behind some silence of startSilence seconds, with a gate, say, it begins on any
	// sixteenth. A loop is a whole number of loopBeats long, to loopGrid seconds, whatever
	// the phase of the beat: an encoder pads it by some of its frames.
	endGrid, halfGrid, quarterGrid = 0.008, 0.004, 0.002
	startSilence                   = 0.03
	loopBeats, loopGrid            = 4, 0.020
	// loopLongest is the length of a loop in beats up to which its phase may be any: of longer
	// tracks the beat tells, to loopGrid.
	loopLongest = 128
	// startBeats is how many beats after the start the first beat may be found for the
	// grid to reach back to there; what comes before a later one has no beat.
	startBeats = 8
	// startWithin is what one of the first two samples has at least of the level of the first
	// 50 ms, as amplitudes, in a track that is cut: of 95 clean masters used for fitting all
	// but one, which is cut, have 0.15 at most, as what is rendered begins with silence.
	startWithin = 0.2
	// The same holds of the differences of the first samples in a track that is cut where they
	// are small: a hit that begins with the file begins with small ones too.
	//
	// startSame is the least likeness of the rhythm of the first seconds to that of all: of
	// tracks that were cut at the start 13 had 0.72 and more, one that goes on faster 0.36.
	startSame = 0.6
	// startQuiet seconds of silence at the start are a sample or some of it: a sound that
	// begins there, at zero, as one that is cut does by rare chance.
	startQuiet = 0.003
	// endHeard is how far a cut end may lie under the loud parts, in dB, to be heard on a
	// floor: under that it is the last of a tail.
	endHeard = 10.0
	// endTogether is how far apart, in seconds, the channels may begin or end to be cut by the
	// same edge: one that is dead from the middle on tells nothing of the end.
	endTogether = 0.09
	// tailLong is the length of zeros behind a cut, in seconds, that nobody leaves on
	// purpose: there the beat is no excuse. tailLeast is what is worth a word.
	tailLong, tailLeast = 10.0, 0.05
	// A fade is a level that falls over one of fadeSeconds by fadeLeast dB or more: of each
	// second the highest block, so that what lies between the beats does not count. It lies
	// over that of the second before by fadeRise at most, as beats of kick and bass let it,
	// and off a straight line by fadeOff (RMS).
	fadeLeast, fadeRise, fadeOff = 6.0, 1.5, 1.0
	// A fade that is cut stops between these levels against the loud parts, in dB. From
	// fadeHeard on that is heard on a floor.
	fadeHighest, fadeLowest, fadeHeard = -7.0, -46.0, -24.0
	// fadeStop is how far the last 50 ms may lie under the last second, in dB, and fadeNear
	// the last 1.5 ms under those: a fade that goes to its end is further down. Between two
	// beats music is too, but less.
	fadeStop, fadeNear = 16.0, 16.0
)

// fadeSeconds are the lengths of fades: short and steep ones and long, flat ones.
var fadeSeconds = [...]int{4, 8, 11}

// cutAt tells whether the edge of the track, or of the silence at its end, cuts
// through sound.
func (m *Meter) cutAt(e edge) bool {
	return e.known > 0 && decibels(e.far) >= soundDB && decibels(e.far) >= decibels(m.loudest())-endLoud
}

// startEdge is the edge at the start of the samples, with the silence there, the shortest of
// the channels: of those that begin then.
func (m *Meter) startEdge() (edge, int64) {
	silence := m.total()
	for c := range m.gaps {
		silence = min(silence, m.gaps[c].first.end)
	}
	var e edge
	for c := range m.gaps {
		switch first := m.gaps[c].first; {
		case first.end == 0:
			e = e.and(m.gaps[c].head)
		case m.seconds(first.end-silence) < endTogether:
			e = e.and(first.after)
		}
	}
	return e, silence
}

// rendered tells that the silence at the start, of so many samples, is of digital zeros: what
// is cut begins with none, but for what an encoder puts before it.
func (m *Meter) rendered(silence int64) bool {
	for c := range m.gaps {
		if first := m.gaps[c].first; first.end == silence && !first.zeros {
			return false
		}
	}
	return silence > 0
}

// endEdge is the same at the end: where the silence begins in the channel that goes on for
// longest.
func (m *Meter) endEdge() (edge, int64) {
	from := int64(0)
	for c := range m.gaps {
		from = max(from, m.gaps[c].endsAt(m.total()))
	}
	var e edge
	for c := range m.gaps {
		switch at := m.gaps[c].endsAt(m.total()); {
		case m.gaps[c].last.start < 0:
			e = e.and(m.gaps[c].tail)
		case m.seconds(from-at) < endTogether:
			e = e.and(m.gaps[c].last.before)
		}
	}
	return e, from
}

// endsAt is where the silence at the end of so many samples begins.
func (g *gaps) endsAt(total int64) int64 {
	if g.last.start < 0 {
		return total
	}
	return g.last.start
}

// ends judges how the track begins and ends.
func (m *Meter) ends(g Grid) []Finding { return append(m.start(g), m.end(g)...) }

func (m *Meter) start(g Grid) []Finding {
	e, silence := m.startEdge()
	at := m.seconds(silence)
	if !m.cutAt(e) || silence == 0 && g.loop(0, m.seconds(m.total())) {
		return nil
	}
	kind, words := m.begins(e, silence, g)
	if kind == "" {
		return nil
	}
	level := decibels(e.far)
	return []Finding{{
		Kind: kind, At: at, Until: at, Figure: level,
		Detail: fmt.Sprintf("the track begins in the middle of sound, at %.0f dBFS from the first sample on%s", level, words),
	}}
}

// begins tells what the start of a track is, behind so many samples of silence, and the words
// that say how it lies in the beat; empty for one that is none of a cut.
func (m *Meter) begins(e edge, silence int64, g Grid) (kind reason.Kind, words string) {
	at := m.seconds(silence)
	within, onBeat := silence == 0 && e.jump >= startWithin*math.Sqrt(e.far), g.onStart(at)
	if !m.reaches(g) || g.FirstBeat-at > startBeats*g.beat() {
		return g.beginsAnywhere(within, onBeat), ""
	}
	switch {
	case onBeat && within && g.inBar(at):
		return reason.StartsInside, ", on a beat in the middle of a bar"
	case onBeat || silence > 0 && at < startQuiet || !within && !e.breaksIn():
		return "", ""
	case m.rendered(silence):
		return reason.StartsInside, ", off the beat"
	}
	return reason.CutStart, ", off the beat"
}

// beginsAnywhere is a start of which the beat does not tell: one that lies on a beat that is
// not sure is the music's.
func (g Grid) beginsAnywhere(within, onBeat bool) reason.Kind {
	if !within || onBeat && g.plausible() && !g.known() {
		return ""
	}
	return reason.StartsInside
}

// breaksIn tells whether the first samples differ as much as those of a sound that goes on.
func (e edge) breaksIn() bool {
	return e.leap >= startWithin*e.slope && e.near >= e.far*math.Pow(10, -endNear/10)
}

// breaksOff tells whether a wave is cut near zero, in sound that does not die away.
func (e edge) breaksOff() bool {
	return e.atLevel() && e.jump >= endJump*math.Sqrt(e.far) && e.far >= endFalls*e.early
}

// reaches tells whether the rhythm at the start lies in the beat as that of the whole does:
// where the tempo changes it need not, and the beat does not tell of the start.
func (m *Meter) reaches(g Grid) bool {
	if !g.known() {
		return false
	}
	slots := m.onsets.phases(g.beat())
	first, all := rhythm(slots[:min(len(slots), jumpSlots)]), rhythm(slots)
	like := liken(&first, &all)
	return like.near(0, jumpSteady, g.beat()) >= startSame
}

// onStart tells whether a track may begin at a time, behind that much silence: on the
// beat.
func (g Grid) onStart(t float64) bool {
	return g.lands(t) || g.off(t, eighths) <= halfGrid || t >= startSilence && g.off(t, sixteenths) <= endGrid
}

// onEnd tells whether it may end at a time. With no beat nothing is an excuse.
func (g Grid) onEnd(t float64) bool { return g.plausible() && g.lands(t) }

// lands tells whether a time is one on which music begins or ends.
func (g Grid) lands(t float64) bool {
	return g.off(t, 1) <= endGrid || g.off(t, sixteenths) <= quarterGrid
}

// loop tells whether a track from or up to a time, of so many seconds, is whole bars.
func (g Grid) loop(t, seconds float64) bool {
	whole := g.plausible() && math.Abs(math.Remainder(seconds, loopBeats*g.beat())) <= loopGrid
	return whole && (seconds <= loopLongest*g.beat() || g.off(t, 1) <= loopGrid)
}

func (m *Meter) end(g Grid) []Finding {
	e, from := m.endEdge()
	at, tail := m.seconds(from-int64(e.cut)), m.seconds(m.total()-from)
	f := Finding{Kind: reason.CutEnd, At: at, Until: m.seconds(m.total()), Figure: decibels(e.far)}
	if level, falling := m.fading(from); falling && tail < tailLeast && e.stops(level+decibels(m.loudest())) {
		return []Finding{f.fade(level)}
	}
	sharp := e.near >= e.far*math.Pow(10, -endNear/10) || e.breaksOff()
	if tail >= tailLeast {
		sharp = e.sharp() || e.steep(m.rate) && len(m.merged()) <= aloneMost
	}
	switch {
	case !sharp || !m.cutAt(e):
		return nil
	case tail >= tailLong || !g.excused(at, tail):
		return []Finding{m.cutEnd(f, tail)}
	case f.Figure >= decibels(m.loudest())-endHeard && g.endsInBar(at, tail):
		f.Kind = reason.EndsInside
		f.Detail = fmt.Sprintf("the track ends in the middle of sound, at %.0f dBFS, on a beat in the middle of a bar", f.Figure)
		return []Finding{f}
	}
	return nil
}

// endsInBar tells that neither the sound, up to a time, nor the file so many seconds behind it
// ends on a bar line or with a whole number of bars.
func (g Grid) endsInBar(at, tail float64) bool {
	total := at + tail
	return tail < tailLeast && g.inBar(at) && g.inBar(total) && !g.loop(at, at) && !g.loop(total, total)
}

// excused tells whether music may end at a time with so many seconds behind it.
func (g Grid) excused(at, tail float64) bool {
	total := at + tail
	return g.onEnd(at) || g.loop(at, at) || tail < tailLeast && (g.onEnd(total) || g.loop(total, total))
}

// cutEnd words an end that is cut, with so many seconds of silence behind it.
func (m *Meter) cutEnd(f Finding, tail float64) Finding {
	level := f.Figure
	f.Detail = fmt.Sprintf("the track ends in the middle of sound, at %.0f dBFS", level)
	switch {
	case tail >= tailLeast:
		f.Kind, f.Figure = reason.HoleEnd, tail
		f.Detail = fmt.Sprintf("the sound stops at once at %s, and silence follows for %s to the end", reason.Place(f.At), span(tail))
	case level < decibels(m.loudest())-endHeard:
		f.Kind = reason.CutTail
	}
	return f
}

// stops tells whether the sound of an edge ends near a level of the last second, in dBFS.
func (e edge) stops(level float64) bool {
	return e.known > 0 && decibels(e.far) >= level-fadeStop && decibels(e.near) >= decibels(e.far)-fadeNear
}

// fade makes of an end a fade that is cut at a level in dB against the loud parts.
func (f Finding) fade(level float64) Finding {
	f.Kind, f.Figure = reason.CutTail, level
	if level >= fadeHeard {
		f.Kind = reason.CutFade
	}
	f.Detail = fmt.Sprintf("the sound fades at the end but stops at once at %.0f dB against the loud parts", level)
	return f
}

// fading tells whether the level falls steadily up to a place, and how far under the
// loud parts it is there, in dB.
func (m *Meter) fading(place int64) (level float64, falling bool) {
	for _, seconds := range fadeSeconds {
		if level, falling = m.falls(place, seconds); falling {
			break
		}
	}
	return level, falling && level >= fadeLowest && level <= fadeHighest
}

// falls looks at so many seconds before a place: at the straight line through the highest
// blocks of each second, in dB.
func (m *Meter) falls(place int64, seconds int) (level float64, falling bool) {
	n := min(len(m.blocks.list), int(m.seconds(place)/m.blocks.seconds))
	second := max(1, int(math.Round(1/m.blocks.seconds)))
	if n < (seconds+1)*second {
		return 0, false
	}
	var sum, tilt, squares, l float64
	half := float64(seconds) / 2
	for i := range seconds + 1 {
		to := n - (seconds-i)*second
		highest := 0.0
		for _, b := range m.blocks.list[to-second : to] {
			highest = max(highest, float64(b.power[0]+b.power[1]))
		}
		if i > 0 && decibels(highest) > l+fadeRise {
			return 0, false
		}
		l = decibels(highest)
		sum += l
		tilt += l * (float64(i) - half)
		squares += l * l
	}
	k := float64(seconds + 1)
	across := k * (k*k - 1) / 12 // the sum of (i - half)^2
	slope := tilt / across
	off := (squares - sum*sum/k - slope*slope*across) / k
	return l - decibels(m.loudest()), -slope*float64(seconds) >= fadeLeast && off <= fadeOff*fadeOff
}
