package detect

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"dubgauge/detect/tempo"
)

// Each figure of the tempo stands in its own field.
func TestTempoOf(t *testing.T) {
	got := tempoOf(tempo.Result{
		BPM: 1, Alternative: 2, Confidence: 3, FirstBeat: 4, FirstDownbeat: 5, DriftPercent: 6, DriftFrom: 7,
		ChangeAt: 8, ChangeFrom: 9, ChangeTo: 10, Swing: 11, DownbeatConfidence: 12, EighthSwing: 13,
	})
	for i, v := range []Value{
		got.BPM, got.AlternativeBPM, got.Confidence, got.FirstBeatS, got.FirstDownbeatS, got.DriftPercent, got.DriftFromS,
		got.ChangeAtS, got.ChangeFromBPM, got.ChangeToBPM, got.SwingPercent, got.DownbeatConfidence, got.EighthSwingPercent,
	} {
		if v != Value(i+1) {
			t.Errorf("field %d holds %v", i+1, v)
		}
	}
	one, two := tempo.Change{At: 60, From: 128, To: 140}, tempo.Change{At: 120, From: 140, To: 128}
	if got := tempoOf(tempo.Result{Changes: []tempo.Change{one, two}}).Changes; len(got) != 2 || got[1] != (TempoChange{120, 140, 128}) {
		t.Errorf("two changes: %v", got)
	}
	if got := tempoOf(tempo.Result{Changes: []tempo.Change{one}}).Changes; got != nil {
		t.Errorf("one change: %v", got)
	}
	none, err := json.Marshal(tempoOf(tempo.Result{DownbeatConfidence: math.NaN(), EighthSwing: math.NaN()}))
	if err != nil || strings.Contains(string(none), "downbeat_confidence") || strings.Contains(string(none), "eighth") {
		t.Errorf("without a downbeat: %s, %v", none, err)
	}
}
