package key

import (
	"fmt"
	"testing"
)

// listen writes mono music to a meter in blocks of an odd size.
func listen(x []float32, rate int) *Meter {
	m := New(rate, 1)
	for from := 0; from < len(x); from += 1777 {
		m.Write([][]float32{x[from:min(from+1777, len(x))]})
	}
	return m
}

func TestAllKeys(t *testing.T) {
	for _, l := range []loop{chordLoops[1], chordLoops[5]} {
		for tonic := range 12 {
			want := Key{tonic, l.mode}
			t.Run(fmt.Sprint(l.name, " in ", want), func(t *testing.T) {
				t.Parallel()
				x := tune{bpm: 126, timbre: saw, up: float64(tonic), notes: l.notes, beats: l.beats, seconds: 16,
					drums: fourOnTheFloor(4)}.render(22050)
				if got := listen(x, 22050).Result(); got.Key != want {
					t.Errorf("found %v", got.Key)
				}
			})
		}
	}
}

func TestBassLines(t *testing.T) {
	for i, l := range bassLoops {
		for tb, name := range timbreNames {
			if tb := timbre(tb); tb != plucked && tb != sine || i == 1 {
				continue
			}
			t.Run(fmt.Sprint(l.name, ", ", name), func(t *testing.T) {
				t.Parallel()
				x := tune{bpm: 126, timbre: timbre(tb), notes: l.notes, beats: l.beats, seconds: 16}.render(22050)
				if got, want := listen(x, 22050).Result(), (Key{0, l.mode}); got.Key != want {
					t.Errorf("found %v, want %v", got.Key, want)
				}
			})
		}
	}
}

func TestDrumsAloneHaveNoKey(t *testing.T) {
	for name, d := range map[string][]hit{"four on the floor": fourOnTheFloor(2), "two-step": breakbeat(2)} {
		x := tune{bpm: 130, beats: 8, seconds: 16, drums: d}.render(22050)
		if got := listen(x, 22050).Result(); got.Exists() {
			t.Errorf("%s: found %v with confidence %.2f", name, got.Key, got.Confidence)
		}
	}
}
