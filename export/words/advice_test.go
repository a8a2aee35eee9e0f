package words

import (
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/advice"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
)

// TestAdviceBesideAVerdict: where the verdict has named a filter, the moves say so first.
func TestAdviceBesideAVerdict(t *testing.T) {
	x := madeup.Track(1, "a.wav", -8)
	a := advice.Advice{References: 9, Moves: []advice.Move{{Filter: reason.LowShelf, Hz: 60, DB: -4, OffDB: 3.5}}}
	if s := Advice(&x, &a); slices.Contains(s, reason.Finer) || s[0] != "Below 60 Hz you are 3.5 dB over your references: low shelf at 60 Hz, -4.0 dB." {
		t.Error(s)
	}
	x.Tone = []standout.Move{{Code: reason.LowEndHeavy, DB: 4}}
	if s := Advice(&x, &a); s[0] != reason.Finer {
		t.Error(s)
	}
}

// TestWidth: what is measured of the width stands before what the references say.
func TestWidth(t *testing.T) {
	x := madeup.Track(1, "a.wav", -8)
	a := advice.Advice{References: 9, Sides: &advice.Sides{References: 9}}
	x.Width = &detect.Width{LowCorrelation: -0.25, MonoWorstDB: -4.44, MonoWorstHz: 8000, MonoWorstAtS: 83}
	want := []string{"Correlation below 150 Hz \u22120.25; in mono most is lost around 8 kHz at 1:23, 4.4 dB.", reason.UsualWidth}
	if got := Page.Width(&x, &a); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	x.Width.LowCorrelation = detect.None
	if got := Plain.Width(&x, &a); got[0] != "In mono most is lost around 8 kHz at 1:23, 4.4 dB." {
		t.Errorf("%q", got)
	}
	for _, k := range []reason.Kind{reason.DeadChannel, reason.Polarity} {
		x.Faults = []detect.Fault{{Kind: string(k)}}
		if got := Plain.Width(&x, &a); len(got) != 1 || slices.Contains(got, reason.UsualWidth) {
			t.Errorf("%s: %q", k, got)
		}
	}
	x.Faults = []detect.Fault{{Kind: string(reason.WeakChannel)}}
	if got := Plain.Width(&x, &a); len(got) != 2 {
		t.Errorf("a weak channel: %q", got)
	}
	a.Unlike = true
	if got := Plain.Width(&x, &a); len(got) != 1 {
		t.Errorf("no reference is like it: %q", got)
	}
	x.Width, a.Sides, a.Unlike = nil, nil, false
	if got := Plain.Width(&x, &a); len(got) != 0 {
		t.Errorf("one channel: %q", got)
	}
}
