package words

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// Pair is a figure of two tracks, side by side.
type Pair struct {
	Label, Unit string // no unit is for a word
	A, B, Diff  string // of B over A
	References  string // the median of the references; empty where they have none
	Nearer      string // "A" or "B" to that median; empty where neither is, by so much as to tell
}

// pairFigures are held side by side.
var pairFigures = []struct {
	label, unit string
	of          func(m *detect.Measurement) detect.Value
	quantity    standout.Quantity // what the group has of it; empty for nothing
}{
	{"loudest 30 s", "LUFS", func(m *detect.Measurement) detect.Value { return m.PlayedLUFS() }, standout.Level},
	{"integrated", "LUFS", func(m *detect.Measurement) detect.Value { return m.Loudness.IntegratedLUFS }, ""},
	{"range", "LU", func(m *detect.Measurement) detect.Value { return m.Loudness.RangeLU }, ""},
	{"true peak", "dBTP", func(m *detect.Measurement) detect.Value { return m.Peak.TruePeakDBTP }, standout.Peak},
	{"peak to loudness", "LU", func(m *detect.Measurement) detect.Value { return m.Peak.PLRLU }, ""},
	{"low end", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.LowDB }, standout.LowEnd},
	{"  sub", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.SubDB }, standout.Sub},
	{"  bass", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.BassDB }, standout.Bass},
	{"mono loss", "dB", func(m *detect.Measurement) detect.Value { return m.LowEnd.MonoLossDB }, standout.Mono},
	{"low mids", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.LowMidDB }, ""},
	{"mids", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.MidDB }, ""},
	{"presence", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.PresenceDB }, ""},
	{"treble", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.TrebleDB }, ""},
	{"air", "dB", func(m *detect.Measurement) detect.Value { return m.Balance.AirDB }, ""},
	{"tempo", "BPM", func(m *detect.Measurement) detect.Value { return m.Tempo.BPM }, ""},
}

// nearerBy in dB is by how much one must lie nearer to be called so.
const nearerBy = 0.2

// Pairs holds every figure of two tracks side by side, and beside what their group has; a nil
// group is for none. The last is the key, which has no unit.
func (s Style) Pairs(one, two *detect.Measurement, group *standout.Group) []Pair {
	var out []Pair
	for _, f := range pairFigures {
		x, y := f.of(one), f.of(two)
		p := Pair{Label: f.label, Unit: f.unit, A: s.Number(x, 1), B: s.Number(y, 1), Diff: s.Signed(y-x, 1)}
		if group != nil && f.quantity != "" && x.Exists() && y.Exists() {
			if st, ok := group.Stats[f.quantity]; ok {
				p.References = s.Number(st.Median, 1)
				p.Nearer = nearer(math.Abs(float64(x-st.Median)), math.Abs(float64(y-st.Median)))
			}
		}
		out = append(out, p)
	}
	return append(out, Pair{Label: "key", A: nameOfKey(one), B: nameOfKey(two)})
}

// nearer says which of two distances is the smaller.
func nearer(a, b float64) string {
	switch {
	case a < b-nearerBy:
		return "A"
	case b < a-nearerBy:
		return "B"
	}
	return ""
}

func nameOfKey(m *detect.Measurement) string {
	if m.Key == nil {
		return "none"
	}
	return Clean(m.Key.Name)
}
