// Package edges finds what of a track is mixed into and out of: the first and the last part
// that carries a beat, of a minute each. An intro of pads and an outro that has faded are
// left out; filtered drums, or hats alone, are a beat.
//
// Times are in seconds. A part is found to the beat; where the track has no beat, by what can
// be heard, to a second.
//
// Limits: the beat is that of package tempo, so that what it does not find is no beat here
// either. A passage without a beat in the middle of a part belongs to it.
package edges

import (
	"math"

	"dubgauge/detect/dsp"
	"dubgauge/detect/tempo"
)

const (
	// Seconds is the length of a part: 32 bars at 128 BPM, the longest that is mixed.
	// Common practice, no source.
	Seconds = 60.0
	// faintLU is how far below the loudest 30 s a beat is no longer mixed with. An intro that
	// is filtered down to its kick measures 10 to 14 LU below, and a fade is 20 LU down when a
	// tenth of its amplitude is left. Ours, no source.
	faintLU = 20.0
	// A part begins with a beat where runShare of the next run beats are heard: four bars,
	// so that a chord that happens to fall on beats is none.
	run      = 16
	runShare = 0.75

	loudestSeconds = 30.0
)

// Span is a part: from, to, and whether it carries a beat.
type Span struct {
	From, To float64
	Beat     bool
}

// Find gives the first and the last part of a track from its beats and the energies of its
// steps, perSecond of them, as loudness.Meter has them. ok is false for silence.
func Find(beats []tempo.Beat, energies *dsp.Long[float32], perSecond float64) (start, end Span, ok bool) {
	l := level{energies, perSecond, 0}
	l.gate = l.loudest() * math.Pow(10, -faintLU/10)
	if l.gate <= 0 {
		return Span{}, Span{}, false
	}
	from, to, beat := l.beaten(beats)
	if !beat {
		from, to = l.heard()
	}
	return Span{from, min(from+Seconds, to), beat}, Span{max(to-Seconds, from), to, beat}, true
}

// level is the loudness over time.
type level struct {
	energies  *dsp.Long[float32]
	perSecond float64
	gate      float64 // the energy of a step that can be mixed with
}

// loudest is the mean energy of a step in the loudest 30 s, or in all of a shorter track.
func (l *level) loudest() float64 {
	n := min(l.energies.Len(), int(loudestSeconds*l.perSecond))
	sum, most := 0.0, 0.0
	for i := range l.energies.Len() {
		sum += float64(*l.energies.At(i))
		if i >= n {
			sum -= float64(*l.energies.At(i - n))
		}
		if i >= n-1 {
			most = max(most, sum)
		}
	}
	return most / max(1, float64(n))
}

// above tells that the mean between two times passes the gate.
func (l *level) above(from, to float64) bool {
	a, b := l.step(from), l.step(to)
	sum := 0.0
	for i := a; i < b; i++ {
		sum += float64(*l.energies.At(i))
	}
	return b > a && sum >= l.gate*float64(b-a)
}

// step is the step at a time, within the track.
func (l *level) step(t float64) int {
	return max(0, min(l.energies.Len(), int(math.Round(t*l.perSecond))))
}

// duration of the track, to a step.
func (l *level) duration() float64 { return float64(l.energies.Len()) / l.perSecond }

// heard are the first and the last second that pass the gate.
func (l *level) heard() (from, to float64) {
	end := l.duration()
	for from < end && !l.above(from, min(from+1, end)) {
		from++
	}
	to = end
	for to-1 > from && !l.above(to-1, to) {
		to--
	}
	return min(from, end), to
}

// beaten is from where to where the track carries a beat.
func (l *level) beaten(beats []tempo.Beat) (from, to float64, ok bool) {
	n := len(beats)
	if n < 2 {
		return 0, 0, false
	}
	heard := make([]bool, n)
	for i := range beats {
		heard[i] = beats[i].Heard && l.above(beats[i].At, ends(beats, i))
	}
	first, last := -1, -1
	for i := range heard {
		if first < 0 && heard[i] && enough(heard[i:min(n, i+run)]) {
			first = i
		}
		if heard[i] && enough(heard[max(0, i+1-run):i+1]) {
			last = i
		}
	}
	if first < 0 || last < first {
		return 0, 0, false
	}
	return max(0, beats[first].At), min(l.duration(), ends(beats, last)), true
}

// ends is where beat i ends: with the next, or as long as the one before.
func ends(beats []tempo.Beat, i int) float64 {
	if i+1 < len(beats) {
		return beats[i+1].At
	}
	return 2*beats[i].At - beats[i-1].At
}

// enough tells that so many beats of a row are heard that it carries one. A row is shorter at
// the ends of a track only.
func enough(row []bool) bool {
	n := 0
	for _, h := range row {
		if h {
			n++
		}
	}
	return float64(n) >= runShare*run
}
