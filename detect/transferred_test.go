package detect

import (
	"testing"

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
