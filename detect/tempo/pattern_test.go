package tempo

import (
	"math"
	"testing"
)

// drums is a track with a low hit on some sixteenths of each bar.
func drums(bpm float64, steps []int, gain float64) []float32 {
	const rate = 44100
	x := make([]float32, 60*rate)
	sixteenth := 60 / bpm / 4
	for bar := 0; float64(bar*16)*sixteenth < 58; bar++ {
		for _, s := range steps {
			at := int((0.3 + float64(bar*16+s)*sixteenth) * rate)
			for i := 0; i < rate/5 && at+i < len(x); i++ {
				u := float64(i) / rate
				x[at+i] += float32(gain * math.Exp(-u*18) * math.Sin(2*math.Pi*(50*u+3*(1-math.Exp(-u*40)))))
			}
		}
	}
	return x
}

func patternOf(t *testing.T, x []float32) []float64 {
	t.Helper()
	m := New(44100, 1)
	for len(x) > 0 {
		n := min(4096, len(x))
		m.Write([][]float32{x[:n]})
		x = x[n:]
	}
	return m.Result().Pattern
}

// Where onsets repeat is known from the pattern: on every beat for four on the floor; a
// two-step's kicks on 0 and 10 are 10 and 6 apart.
func TestPattern(t *testing.T) {
	for _, c := range []struct {
		name       string
		bpm        float64
		steps      []int
		high, none []int // sixteenths
	}{
		{"four on the floor", 128, []int{0, 4, 8, 12}, []int{4, 8, 12, 16}, []int{1, 2, 3, 5, 6, 7, 10}},
		{"broken", 172, []int{0, 10}, []int{6, 10, 16}, []int{1, 3, 4, 5, 7, 8, 9, 12}},
	} {
		for _, gain := range []float64{0.8, 0.05} { // whatever the level
			p := patternOf(t, drums(c.bpm, c.steps, gain))
			if len(p) != PatternSteps {
				t.Fatalf("%s: %d values", c.name, len(p))
			}
			for _, k := range c.high {
				if p[k-1] < 0.3 {
					t.Errorf("%s, gain %g: %.2f at %d sixteenths, want a peak", c.name, gain, p[k-1], k)
				}
			}
			for _, k := range c.none {
				if p[k-1] > 0.15 {
					t.Errorf("%s, gain %g: %.2f at %d sixteenths, want none", c.name, gain, p[k-1], k)
				}
			}
		}
	}
	if p := patternOf(t, make([]float32, 44100*20)); len(p) != 0 {
		t.Errorf("silence has a pattern: %v", p)
	}
}

func TestWrap(t *testing.T) {
	for x, want := range map[float64]float64{0: 0, 0.25: 0.25, 1.25: 0.25, -0.25: 0.75, -2: 0} {
		if got := wrap(x); math.Abs(got-want) > 1e-12 {
			t.Errorf("wrap(%g) = %g", x, got)
		}
	}
}

// Hits that are 10 ms early and late in turn still repeat.
func TestPatternOfPlayedDrums(t *testing.T) {
	x := drums(128, []int{0, 8}, 0.8)
	late := drums(128, []int{4, 12}, 0.8)
	for i := 441; i < len(x); i++ {
		x[i] += late[i-441]
	}
	if p := patternOf(t, x); p[3] < 0.3 || p[7] < 0.5 {
		t.Errorf("%.2f at a beat, %.2f at two", p[3], p[7])
	}
}
