package edges

import (
	"testing"

	"dubgauge/detect/dsp"
	"dubgauge/detect/tempo"
)

// played are beats at 120 BPM from one time to another, heard between two others.
func played(from, to, heardFrom, heardTo float64) (beats []tempo.Beat) {
	for t := from; t < to; t += 0.5 {
		beats = append(beats, tempo.Beat{At: t, Heard: t >= heardFrom && t < heardTo})
	}
	return beats
}

// energy is that of so many seconds in steps of 10 ms: 1 but between two times, where it is
// another.
func energy(seconds int, from, to float64, other float32) *dsp.Long[float32] {
	e := &dsp.Long[float32]{}
	for i := range 100 * seconds {
		if t := float64(i) / 100; t >= from && t < to {
			e.Append(other)
		} else {
			e.Append(1)
		}
	}
	return e
}

func TestFind(t *testing.T) {
	for name, c := range map[string]struct {
		beats      []tempo.Beat
		energies   *dsp.Long[float32]
		start, end Span
	}{
		"all":              {played(0, 200, 0, 200), energy(200, 0, 0, 0), Span{0, 60, true}, Span{140, 200, true}},
		"from 16 to 184 s": {played(0, 200, 16, 184), energy(200, 0, 0, 0), Span{16, 76, true}, Span{124, 184, true}},
		"short":            {played(0, 50, 4, 46), energy(50, 0, 0, 0), Span{4, 46, true}, Span{4, 46, true}},
		// 20 LU below is a hundredth of the energy: just above it is mixed, just below not.
		"a quiet beat":    {played(0, 200, 0, 200), energy(200, 0, 20, 0.0101), Span{0, 60, true}, Span{140, 200, true}},
		"a faint beat":    {played(0, 200, 0, 200), energy(200, 0, 20, 0.0099), Span{20, 80, true}, Span{140, 200, true}},
		"a fade":          {played(0, 200, 0, 200), energy(200, 190, 200, 0.001), Span{0, 60, true}, Span{130, 190, true}},
		"no beat":         {nil, energy(200, 0, 20.4, 0), Span{20, 80, false}, Span{140, 200, false}},
		"nothing heard":   {played(0, 200, 300, 300), energy(200, 180, 200, 0), Span{0, 60, false}, Span{120, 180, false}},
		"one bar":         {played(0, 100, 40, 42), energy(100, 0, 0, 0), Span{0, 60, false}, Span{40, 100, false}},
		"before the file": {played(-0.25, 100, -1, 100), energy(100, 0, 0, 0), Span{0, 60, true}, Span{40, 100, true}},
	} {
		start, end, ok := Find(c.beats, c.energies, 100)
		if !ok || start != c.start || end != c.end {
			t.Errorf("%s: %v %v %v, want %v %v", name, start, end, ok, c.start, c.end)
		}
	}
	for name, e := range map[string]*dsp.Long[float32]{"nothing": {}, "silence": energy(10, 0, 10, 0)} {
		if _, _, ok := Find(played(0, 10, 0, 10), e, 100); ok {
			t.Errorf("%s has ends", name)
		}
	}
}

// TestRow: a part begins where three of four of the next sixteen beats are heard, twelve, and
// ends where as many before are.
func TestRow(t *testing.T) {
	with := func(missing ...int) []tempo.Beat {
		beats := played(0, 60, 0, 60)
		for _, i := range missing {
			beats[i].Heard = false
		}
		return beats
	}
	e := energy(60, 0, 0, 0)
	if start, _, _ := Find(with(1, 3, 5, 7), e, 100); start.From != 0 {
		t.Errorf("twelve of sixteen: from %v", start.From)
	}
	if start, _, _ := Find(with(1, 3, 5, 7, 16), e, 100); start.From != 0 {
		t.Errorf("twelve of sixteen, and the next one missing: from %v", start.From)
	}
	if start, _, _ := Find(with(1, 3, 5, 7, 9), e, 100); start.From != 1 {
		t.Errorf("eleven of sixteen: from %v, want the next that has twelve, 1", start.From)
	}
	if _, end, _ := Find(with(118, 116, 114, 112), e, 100); end.To != 60 {
		t.Errorf("twelve of sixteen: to %v", end.To)
	}
	if _, end, _ := Find(with(118, 116, 114, 112, 110), e, 100); end.To != 59 {
		t.Errorf("eleven of sixteen: to %v, want 59", end.To)
	}
}

// TestAgainstTheLoudest30Seconds: what is faint is so beside them, not beside more or less.
func TestAgainstTheLoudest30Seconds(t *testing.T) {
	e := &dsp.Long[float32]{}
	for i := range 20000 {
		if i >= 10000 && i < 13000 {
			e.Append(1)
		} else {
			e.Append(0.0099)
		}
	}
	if start, end, ok := Find(played(0, 200, 0, 200), e, 100); !ok || start != (Span{100, 130, true}) || end != start {
		t.Errorf("%v %v %v, want the 30 s from 100 s", start, end, ok)
	}
}
