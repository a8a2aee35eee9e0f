package continuity

import (
	"math"
	"testing"

	"dubgauge/detect/reason"
)

// leaning is a track whose bands lie on one side, each channel at its levels.
func leaning(n int, low, rest, top float64) []weigh {
	ws := louder(still(n), 0, n, low, rest, top)
	for i := range ws {
		ws[i].levels = [2]levels{{-10, -15, -30}, {-10 - rest, -15 - low, -30 - top}}
	}
	return ws
}

// mirrored swaps the channels between two blocks.
func mirrored(ws []weigh, from, to int) []weigh {
	for i := from; i < to; i++ {
		w := &ws[i]
		w.low, w.rest, w.top = -w.low, -w.rest, -w.top
		w.levels[0], w.levels[1] = w.levels[1], w.levels[0]
	}
	return ws
}

// turning pans the channels to the other side between two blocks, over so many blocks.
func turning(ws []weigh, from, to, over int) []weigh {
	for i := range ws {
		in := min(float64(i-from), float64(to-i))
		g := 1 - 2*max(0, min(1, 0.5+in/float64(over)))
		w := &ws[i]
		w.low, w.rest, w.top = w.low*g, w.rest*g, w.top*g
		if g < 0 {
			w.levels[0], w.levels[1] = w.levels[1], w.levels[0]
		}
	}
	return ws
}

// Channels that have changed sides turn the balance of all bands round, and nothing else.
func TestSwapped(t *testing.T) {
	for _, tt := range []struct {
		name string
		ws   []weigh
		want bool
	}{
		{"as it is", leaning(160, 0, 1.5, 1), false},
		{"changed", mirrored(leaning(160, 0, 1.5, 1), 60, 100), true},
		{"changed, with a low end on one side", mirrored(leaning(160, 1.5, 0, 0), 60, 100), true},
		{"changed, with no low end", mute(mirrored(leaning(160, 1.5, 1, 1), 60, 100), 0, 160), true},
		{"changed, all in the middle", mirrored(leaning(160, 0, 0.2, 0.2), 60, 100), false},
		{"in the course of 3 s, and back", turning(leaning(160, 0, 1.5, 1), 60, 100, 12), false},
		{"in the course of half a second, and back", turning(leaning(160, 0, 1.5, 1), 60, 100, 2), true},
		{"for 5 s", mirrored(leaning(160, 0, 1.5, 1), 60, 80), false},
		{"for 7 s", mirrored(leaning(160, 0, 1.5, 1), 60, 88), true},
		{"for most of the track", mirrored(leaning(160, 0, 1.5, 1), 30, 140), false},
		{"to the end", mirrored(leaning(160, 0, 1.5, 1), 60, 160), false},
		{"other bands turn at the end", append(mirrored(leaning(100, 0, 3, 0), 60, 100), mirrored(leaning(100, 0, 0, 3), 30, 100)...), false},
		{"the top alone", louder(leaning(160, 0, 1.5, 1), 60, 100, 0, 0, -2), false},
		{"the low end stays", louder(mirrored(leaning(160, 1.5, 1.5, 1), 60, 100), 60, 100, 3, 0, 0), false},
		{"from loud to soft", levelled(mirrored(leaning(160, 0, 1.5, 1), 60, 100), 60, 100, levels{-6, -6, -6}, levels{-6, -6, -6}, 0), false},
		{"with another correlation", levelled(mirrored(leaning(160, 0, 1.5, 1), 60, 100), 60, 100, levels{}, levels{}, 0.2), false},
		{"further over on the other side", louder(mirrored(leaning(160, 0, 1.5, 1), 60, 100), 60, 100, 0, -1.5, -1), false},
	} {
		m := New(testRate, 2)
		got := m.swapped(tt.ws)
		if len(got) == 1 != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
			continue
		}
		if tt.want && (math.Abs(got[0].At-60*m.blocks.seconds) > 0.6 || got[0].Kind != reason.SwappedPart || got[0].Figure != got[0].Until-got[0].At) {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// With sound: a hat on the left and one on the right, of which each goes over.
func TestSwappedSound(t *testing.T) {
	x := song(1)
	for i := range x[0] {
		x[0][i] += 0.05 * x[1][(i+5000)%len(x[0])]
		x[1][i] -= 0.2 * (x[1][i] - x[0][i])
	}
	for c := range x {
		x[c] = append(append(x[c], x[c]...), x[c]...)
	}
	high := [2]float32{}
	for i := range x[0] {
		for c := range x {
			high[c] += 0.05 * (x[c][i] - high[c])
		}
		x[0][i] += 0.5 * (x[0][i] - high[0]) // the left has more top
	}
	if got := run(x, testRate, Grid{}); countKind(got, reason.SwappedPart) != 0 {
		t.Errorf("as it is: %+v", got)
	}
	for i := sec(30.3); i < sec(40.3); i++ {
		x[0][i], x[1][i] = x[1][i], x[0][i]
	}
	got := run(x, testRate, Grid{})
	if countKind(got, reason.SwappedPart) != 1 {
		t.Errorf("%+v", got)
	}
}

func countKind(fs []Finding, k reason.Kind) (n int) {
	for _, f := range fs {
		if f.Kind == k {
			n++
		}
	}
	return n
}
