package page

import (
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/setlist"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/export/running"
)

// TestWhatIsNotThereHasNoFigure: a low end of which nothing is left in mono, or a track without sub
// in a running order, is said in a word.
func TestWhatIsNotThereHasNoFigure(t *testing.T) {
	x := madeup.Tracks(3)[2]
	x.Reference.Basis = reason.BasisLike
	x.Reference.Stats = map[standout.Quantity]standout.Stat{standout.Mono: {N: 8, Min: -1, P10: -0.9, Median: -0.5, P90: -0.2, Max: -0.1}}
	for loss, want := range map[float64]figure{
		-39.9: {Unit: "dB", Value: "\u221239.9"}, -40: {Value: "all of it"}, -100: {Value: "all of it"},
	} {
		x.LowEnd.MonoLossDB = detect.Value(loss)
		x.Deviations = []standout.Deviation{{Quantity: standout.Mono, Value: detect.Value(loss), DB: detect.Value(loss + 0.5)}}
		all := figures(&x)
		got := all[len(all)-1]
		if got.Unit != want.Unit || got.Value != want.Value || got.Range != "\u22120.9 to \u22120.2" || got.Median != "\u22120.5" || (got.Diff == "") != (want.Unit == "") {
			t.Errorf("%g dB: %+v", loss, got)
		}
	}
	step := setlist.Step{Sub: setlist.LowStep{DB: -17, Missing: reason.MissingIn}, Bass: setlist.LowStep{DB: 17, Missing: reason.MissingOut}}
	if said := stepWords(&step); !slices.Contains(said, "sub none") || !slices.Contains(said, "bass enters") || strings.Contains(strings.Join(said, " "), "17") {
		t.Errorf("%q", said)
	}
	r := &running.Order{Set: setlist.Set{Tracks: []setlist.Track{{Loudest: setlist.Part{SubDB: -85, BassDB: -30}}}, Levelling: setlist.Levelling{Trims: []detect.Value{0}}}}
	if main, second := laneFigures(r, &running.Place{At: 0}); main[lowLane] != reason.LeastLowEnd || second[lowLane] != reason.LeastLowEnd {
		t.Errorf("drawn at %g and %g dB", main[lowLane], second[lowLane])
	}
	for db, want := range map[detect.Value]string{-19.9: "\u221215.0", -20: "none"} {
		x.Deviations = []standout.Deviation{{Quantity: standout.LowEnd, Value: db, DB: -15}}
		if r := newRow(&x, &page{}); r.LowOff != want {
			t.Errorf("a low end of %g dB is %q off, want %q", db, r.LowOff, want)
		}
	}
}
