package judge

import (
	"testing"

	"dubgauge/detect"
)

// TestSameFigures: each figure alone can tell two tracks apart, and one that does
// not exist tells nothing.
func TestSameFigures(t *testing.T) {
	made := func(change func(m *detect.Measurement)) *alike {
		whole := detect.Empty()
		m := &whole
		m.Tempo.BPM, m.LowEnd.LowDB, m.LowEnd.SubDB, m.LowEnd.BassDB, m.Loudness.RangeLU = 128, 2, -1, 1, 6
		change(m)
		figures := alikeOf(m)
		return &figures
	}
	a := made(func(*detect.Measurement) {})
	for _, c := range []struct {
		name   string
		change func(m *detect.Measurement)
		want   bool
	}{
		{"nothing", func(*detect.Measurement) {}, true},
		{"tempo", func(m *detect.Measurement) { m.Tempo.BPM += 0.2 }, false},
		{"tempo, hardly", func(m *detect.Measurement) { m.Tempo.BPM += 0.05 }, true},
		{"no tempo", func(m *detect.Measurement) { m.Tempo.BPM = detect.None }, true},
		{"low end", func(m *detect.Measurement) { m.LowEnd.LowDB -= 0.4 }, false},
		{"sub", func(m *detect.Measurement) { m.LowEnd.SubDB += 0.4 }, false},
		{"bass", func(m *detect.Measurement) { m.LowEnd.BassDB += 0.4 }, false},
		{"range", func(m *detect.Measurement) { m.Loudness.RangeLU += 0.6 }, false},
	} {
		if got := sameFigures(a, made(c.change)); got != c.want {
			t.Errorf("%s: the same %v, want %v", c.name, got, c.want)
		}
	}
}
