package faults

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// silenceDB is the level, RMS over silenceWindow in the loudest channel, under
	// which nothing is heard in a club. The surface noise of a record lies above.
	silenceDB     = -60.0
	silenceWindow = 0.01 // s
	// Silence that is worth a word, at the start and at the end, and silence that
	// is worth a look: a DJ who starts the file blind, or who trusts its length,
	// stands in it (ours, no source).
	startNamed, startLong = 2.0, 10.0 // s
	endNamed, endLong     = 5.0, 20.0 // s
)

// silence finds the first and the last audible window.
type silence struct {
	perWindow int // cells
	cells     int
	samples   int
	loudest   []float64 // energy of each channel in the open window
	windows   int64
	first     int64 // -1: none yet
	last      int64
	seconds   float64 // a window
	// The highest mean square in the silences.
	before, after float64
}

func newSilence(rate float64, cell int) silence {
	n := max(1, int(math.Round(silenceWindow*rate/float64(cell))))
	return silence{perWindow: n, first: -1, seconds: float64(n*cell) / rate}
}

func (s *silence) chunk(stats [][]cell, cells int) {
	if s.loudest == nil {
		s.loudest = make([]float64, len(stats))
	}
	for i := range cells {
		for c := range stats {
			s.loudest[c] += float64(stats[c][pastCells+i].energy)
		}
		s.samples += stats[0][pastCells+i].n
		if s.cells++; s.cells == s.perWindow {
			s.window()
		}
	}
}

func (s *silence) window() {
	power := 0.0
	for c, e := range s.loudest {
		power = max(power, e/float64(s.samples))
		s.loudest[c] = 0
	}
	if 10*math.Log10(power) >= silenceDB {
		if s.first < 0 {
			s.first = s.windows
		}
		s.last, s.after = s.windows, 0
	} else if s.first < 0 {
		s.before = max(s.before, power)
	} else {
		s.after = max(s.after, power)
	}
	s.windows++
	s.cells, s.samples = 0, 0
}

func (m *Meter) silences(r *Result) {
	s := &m.silence
	if s.windows == 0 {
		return
	}
	if s.first < 0 {
		r.add(reason.Silent, nowhere, "%s in the whole track", level(s.before))
		return
	}
	if d := float64(s.first) * s.seconds; d >= startNamed {
		r.add(longer(d >= startLong, reason.SilenceStart, reason.LongStart), 0,
			"%.1f s of silence at the start, %s", d, level(s.before))
	}
	if d := float64(s.windows-s.last-1) * s.seconds; d >= endNamed {
		r.add(longer(d >= endLong, reason.SilenceEnd, reason.LongEnd), float64(s.last+1)*s.seconds,
			"%.1f s of silence at the end, %s", d, level(s.after))
	}
}

func longer(long bool, short, other reason.Kind) reason.Kind {
	if long {
		return other
	}
	return short
}

// level words the level of a silence from its highest mean square.
func level(power float64) string {
	if power == 0 {
		return "digital silence"
	}
	return fmt.Sprintf("at most %.0f dBFS", 10*math.Log10(power))
}
