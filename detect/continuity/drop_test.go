package continuity

import (
	"math"
	"testing"
)

// A rise takes back the drop 20 s before it, which was not seen, where the balance moves back
// by as much just there, or the prediction is sure of the rise.
func TestRoseFrom(t *testing.T) {
	back := louder(still(240), 80, 160, 3, 3, 3) // the left gains for 20 s
	stays := louder(still(240), 80, 240, 3, 3, 3)
	for _, tt := range []struct {
		name   string
		ws     []weigh
		better float64
		want   bool
	}{
		{"and the balance moves back", back, 20, true},
		{"and it does not", stays, 20, false},
		{"and it does not, hardly sure", stays, riseSure - 1, false},
		{"and it does not, surely", stays, riseSure, true},
		{"and it has never moved", still(240), 1000, false},
	} {
		m := New(testRate, 2)
		at := int64(160 * m.blocks.seconds * testRate)
		from, ok := m.roseFrom(tt.ws, edit{at: at, what: editRight, gain: math.Pow(10, 3./20), better: tt.better})
		if ok != tt.want || ok && math.Abs(from-80*m.blocks.seconds) > 0.3 {
			t.Errorf("%s: %v from %.2f s", tt.name, ok, from)
		}
	}
}

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
