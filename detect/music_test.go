package detect

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"dubgauge/detect/key"
	"dubgauge/detect/tempo"
)

// Each figure of the tempo stands in its own field.
func TestTempoOf(t *testing.T) {
	got := tempoOf(tempo.Result{
		BPM: 1, Alternative: 2, Confidence: 3, FirstBeat: 4, FirstDownbeat: 5, DriftPercent: 6, DriftFrom: 7,
		ChangeAt: 8, ChangeFrom: 9, ChangeTo: 10, Swing: 11, DownbeatConfidence: 12, EighthSwing: 13,
		SwingConfidence: 14, EighthSwingConfidence: 15, BeatConfidence: 16,
	})
	for i, v := range []Value{
		got.BPM, got.AlternativeBPM, got.Confidence, got.FirstBeatS, got.FirstDownbeatS, got.DriftPercent, got.DriftFromS,
		got.ChangeAtS, got.ChangeFromBPM, got.ChangeToBPM, got.SwingPercent, got.DownbeatConfidence, got.EighthSwingPercent,
		got.SwingConfidence, got.EighthSwingConfidence, got.BeatConfidence,
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
	none, err := json.Marshal(tempoOf(tempo.Result{BeatConfidence: math.NaN(), DownbeatConfidence: math.NaN(), EighthSwing: math.NaN(), SwingConfidence: math.NaN(), EighthSwingConfidence: math.NaN()}))
	if err != nil || strings.Contains(string(none), "beat_confidence") || strings.Contains(string(none), "eighth") || strings.Contains(string(none), "swing_confidence") {
		t.Errorf("without a downbeat: %s, %v", none, err)
	}
}

// A beat of 79 % is in doubt, one of 80 % is not, nor is one of which that is not known.
func TestBeatInDoubt(t *testing.T) {
	for confidence, want := range map[Value]bool{0: false, 0.01: true, 0.79: true, 0.8: false, None: false} {
		if got := (&Tempo{FirstBeatS: 0.5, BeatConfidence: confidence}).BeatInDoubt(); got != want {
			t.Errorf("%v: %v, want %v", confidence, got, want)
		}
	}
	if (&Tempo{FirstBeatS: None, BeatConfidence: 0.5}).BeatInDoubt() {
		t.Error("no beat is in doubt")
	}
}

// Each figure of the key stands in its own field, and a key that stays says nothing of changes.
func TestKeyOf(t *testing.T) {
	a, b := key.Key{Tonic: 9, Mode: key.Minor}, key.Key{Tonic: 11, Mode: key.Minor}
	r := key.Result{Key: a, RunnerUp: key.Key{Tonic: 0, Mode: key.Major}, Confidence: 0.5, TuningCents: -7, Agreement: 0.75,
		Changes: []key.Change{{AtS: 75, From: a, To: b}}}
	const plain = `{"name":"A minor","tonic":"A","mode":"minor","confidence":0.5,"runner_up":"C major","tuning_cents":-7,"agreement":0.75`
	for _, c := range []struct {
		changes []key.Change
		want    string
	}{
		{r.Changes, plain + `,"changes":[{"at_s":75,"from":"A minor","to":"B minor"}]}`},
		{nil, plain + "}"},
	} {
		r.Changes = c.changes
		if got, err := json.Marshal(keyOf(r)); err != nil || string(got) != c.want {
			t.Errorf("%s, want %s (%v)", got, c.want, err)
		}
	}
	if keyOf(key.Result{Key: key.NoKey}) != nil {
		t.Error("music without a key is given one")
	}
}
