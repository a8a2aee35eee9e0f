package words

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// Every figure of two tracks, and which of them is nearer to the references by 0.2 dB or more.
func TestPairs(t *testing.T) {
	var a, b detect.Measurement
	a.File.Channels, b.File.Channels = 2, 2
	a.Loudness.Loudest30sLUFS, b.Loudness.Loudest30sLUFS = -9, -11.5
	a.LowEnd.LowDB, b.LowEnd.LowDB = 2, 2.1
	a.Peak.TruePeakDBTP, b.Peak.TruePeakDBTP = detect.None, -1
	b.LowEnd.MonoLossDB = 0.3
	b.Key = &detect.Key{Name: "A minor"}
	group := &standout.Group{Stats: map[standout.Quantity]standout.Stat{
		standout.Level: {Median: -10.9}, standout.LowEnd: {Median: 1.9}, standout.Mono: {Median: 0.6}, standout.Peak: {Median: -0.5},
	}}
	got := map[string]Pair{}
	for _, p := range Plain.Pairs(&a, &b, group) {
		got[p.Label] = p
	}
	for label, want := range map[string]Pair{
		"loudest 30 s": {"loudest 30 s", "LUFS", "-9.0", "-11.5", "-2.5", "-10.9", "B"},
		"low end":      {"low end", "dB", "2.0", "2.1", "+0.1", "1.9", ""},
		"true peak":    {"true peak", "dBTP", "-", "-1.0", "-", "", ""},
		"key":          {"key", "", "none", "A minor", "", "", ""},
		"mono loss":    {"mono loss", "dB", "0.0", "0.3", "+0.3", "0.6", "B"},
	} {
		if got[label] != want {
			t.Errorf("%+v, want %+v", got[label], want)
		}
	}
	a, b = b, a
	if p := Plain.Pairs(&a, &b, group)[0]; p.Nearer != "A" || p.Diff != "+2.5" {
		t.Errorf("the other way round %+v", p)
	}
	if p := Plain.Pairs(&a, &b, nil)[0]; p.References != "" || p.Nearer != "" {
		t.Errorf("without references %+v", p)
	}
}
