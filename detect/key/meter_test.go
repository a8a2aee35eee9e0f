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
	for _, l := range []loop{chordLoops[0], chordLoops[5]} {
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

// The chords of I V vi IV are those of i VI III VII in the relative minor: which is
// meant, the place where the loop begins tells, and a clip does not. Both are named,
// neither as sure.
func TestRelativeKeysAreUnsure(t *testing.T) {
	const unsure = 0.75
	l := chordLoops[1]
	for tonic := 0; tonic < 12; tonic += 5 {
		x := tune{bpm: 126, timbre: saw, up: float64(tonic), notes: l.notes, beats: l.beats, seconds: 16,
			drums: fourOnTheFloor(4)}.render(22050)
		r := listen(x, 22050).Result()
		plain, relative := Key{tonic, Major}, Key{(tonic + 9) % 12, Minor}
		if !(r.Key == plain && r.RunnerUp == relative || r.Key == relative && r.RunnerUp == plain) || r.Confidence > unsure {
			t.Errorf("%v: found %v, else %v, confidence %.2f", plain, r.Key, r.RunnerUp, r.Confidence)
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
