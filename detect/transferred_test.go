package detect

import (
	"testing"

	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
)

// Single clicks become a note, all else stays.
func TestSingle(t *testing.T) {
	f := []Fault{{Kind: string(reason.Click)}, {Kind: string(reason.Hum)}, {Kind: string(reason.Click)}}
	single(f)
	for i, want := range []reason.Kind{reason.ClicksFew, reason.Hum, reason.ClicksFew} {
		if f[i].Kind != string(want) {
			t.Errorf("%d: %s, want %s", i, f[i].Kind, want)
		}
	}
}

// TestFaultsKeepTheirCount: what a verdict goes by is a number, and not the words.
func TestFaultsKeepTheirCount(t *testing.T) {
	var m Measurement
	m.addFaults([]faults.Fault{{Kind: reason.Click, Detail: "3 jumps", At: 2, Count: 3}, {Kind: reason.Hum, At: 1}})
	if len(m.Faults) != 2 || m.Faults[0].Count != 0 || m.Faults[1].Count != 3 {
		t.Errorf("%+v", m.Faults)
	}
}
