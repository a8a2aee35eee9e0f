package continuity

import (
	"testing"
)

// The channels change sides where the prediction says so from both sides, or surely from before,
// or, where no edit is of one channel, plainly.
func TestChangesSides(t *testing.T) {
	for i, tt := range []struct {
		e     edit
		other bool // an edit of one channel
		want  bool
	}{
		{edit{gain: -1, better: sidesPlain}, false, true},
		{edit{gain: -1, better: sidesPlain - 1}, false, false},
		{edit{gain: -1, better: sidesPlain}, true, false},
		{edit{gain: -1, behind: sidesBehind}, true, true},
		{edit{gain: -1, behind: sidesBehind - 1}, true, false},
		{edit{gain: -1, better: sidesSure}, true, true},
		{edit{gain: -1, better: sidesSure - 1}, true, false},
		{edit{gain: -1.12, better: sidesSure}, true, false},
		{edit{gain: -1.12, better: sidesSure}, false, true},
		{edit{gain: 1, better: sidesSure, behind: sidesBehind}, true, false},
	} {
		m := New(testRate, 2)
		tt.e.what = editSide
		m.edits.found = []edit{tt.e}
		if tt.other {
			m.edits.found = append(m.edits.found, edit{what: editLeft})
		}
		if got := m.changesSides(tt.e); got != tt.want {
			t.Errorf("%d: %v", i, got)
		}
	}
	for c, want := range map[candidate]bool{{0, -1, sidesSure}: true, {0, -1, sidesSure - 1}: false, {0, -1.12, sidesSure}: false, {0, 1, sidesSure}: false} {
		if c.sure() != want {
			t.Errorf("%+v: %v", c, !want)
		}
	}
}

// Where kick and bass tell both ends of a part and lie still, the rest may have more in common
// in it: atanh(0.86) - atanh(0.5) is 0.74, of 0.95 it is 1.28.
func TestKeepsWithStillBass(t *testing.T) {
	with := func(corr, wander float64) []weigh {
		ws := louder(still(120), 40, 80, 3, 3, 3)
		for i := 40; i <= 80; i++ {
			ws[i].corr = corr
		}
		for i := range ws { // 2 s each to either side
			ws[i].low += wander * float64(1-2*(i/stepBlocks%2))
		}
		return ws
	}
	for i, tt := range []struct {
		ws         []weigh
		low, solid bool
		want       bool
	}{
		{with(0.86, 0), true, true, true},
		{with(0.86, 0), true, false, false},
		{with(0.86, 0), false, true, false},
		{with(0.95, 0), true, true, false},
		{with(0.86, 0.08), true, true, true},  // a wander of 0.24 dB, a twelfth of 3 being 0.25
		{with(0.86, 0.09), true, true, false}, // 0.27 dB
	} {
		a, b := step{at: 40, db: 3, low: tt.low, solid: tt.solid}, step{at: 80, db: -3, low: tt.low}
		if got := keeps(tt.ws, a, b); got != tt.want {
			t.Errorf("%d: %v, wander %.2f dB", i, got, wander(tt.ws, speaks, lowOf))
		}
	}
}

// One hole of zeros with one sharp edge stands alone among gaps that are none of zeros.
func TestZerosAmongOtherGaps(t *testing.T) {
	for zeros, want := range map[int]int{1: 1, aloneMost: aloneMost, aloneMost + 1: 0} {
		m := New(testRate, 2)
		for k := range 12 {
			to := float64(k) + 2.25 // on a beat: two sharp edges tell there, or one alone
			g := gap{start: int64(sec(to - 0.151 - 0.013*float64(k))), end: int64(sec(to)), before: cutEdge, after: softEdge, zeros: k < zeros}
			if !g.zeros {
				g.before = deadEdge
			}
			for c := range m.gaps {
				m.gaps[c].found = append(m.gaps[c].found, g)
			}
		}
		if got := m.holes(Grid{BPM: 120, Confidence: 1, FirstBeat: 0.25}); len(got) != want {
			t.Errorf("%d of zeros: %d holes, want %d: %+v", zeros, len(got), want, got)
		}
	}
}
