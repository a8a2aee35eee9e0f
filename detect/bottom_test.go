package detect

import (
	"context"
	"encoding/json"
	"io"
	"math"
	"testing"

	drum "dubgauge/detect/kick"
)

// TestWidthAndKick: the whole way of what is new in the record: sum and difference, where
// mono loses, kick and sub with its note and whether the key has it. The signal is that of
// the benchmarks: a kick at 124 BPM, a bass at 55 Hz, a chord of A minor, hats that are
// unrelated in both channels.
func TestWidthAndKick(t *testing.T) {
	x := loud(44100, 60, 0.6)
	m, err := Analyze(context.Background(), play(44100, io.EOF, x...), 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Spectrum.MidDB) != 31 || len(m.Spectrum.SideDB) != 31 {
		t.Fatalf("%d bands of the sum, %d of the difference", len(m.Spectrum.MidDB), len(m.Spectrum.SideDB))
	}
	for b, v := range m.Spectrum.LoudestDB {
		p := math.Pow(10, float64(m.Spectrum.MidDB[b])/10) + math.Pow(10, float64(m.Spectrum.SideDB[b])/10)
		if m.Spectrum.SideDB[b].Exists() && math.Abs(10*math.Log10(p)-float64(v)) > 0.001 {
			t.Errorf("band %d: both have %.3f dB, the channels %.3f", b, 10*math.Log10(p), v)
		}
	}
	// Unrelated noise loses 3 dB in mono.
	if w := m.Width; w == nil || !(w.LowCorrelation > 0.98) || !(math.Abs(float64(w.MonoWorstDB+3)) < 1) || w.MonoWorstHz < 2000 || !w.MonoWorstAtS.Exists() {
		t.Errorf("width %+v", w)
	}
	k := m.Kick
	if k == nil || k.Kicks < 55 || k.SubNote != "A1" || !(math.Abs(float64(k.SubCents)) < 5) || (k.SubInKey == nil) != (m.Key == nil) || !(k.SubUp > 0.8) {
		t.Errorf("kick %+v at %v BPM in %+v", k, m.Tempo.BPM, m.Key)
	}
	if k != nil && (k.HeldThrough != 0 || k.AttackWorstDB.Exists()) {
		t.Errorf("a bass that ducks runs on: %+v", k)
	}
	if m.Key != nil && !*k.SubInKey {
		t.Errorf("A1 is said not to belong to %s", m.Key.Name)
	}
	text, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	var back Measurement
	if err := json.Unmarshal(text, &back); err != nil || back.Kick.SubNote != "A1" || back.Width.MonoWorstHz != m.Width.MonoWorstHz || len(back.Spectrum.SideDB) != 31 {
		t.Errorf("read back as %+v, %+v: %v", back.Kick, back.Width, err)
	}
}

// TestOneChannelHasNoWidth: nor anything of it in its record.
func TestOneChannelHasNoWidth(t *testing.T) {
	m, err := Analyze(context.Background(), play(44100, io.EOF, loud(44100, 40, 0.6)[0]), 1, nil)
	if err != nil {
		t.Fatal(err)
	}
	if m.Width != nil || m.Spectrum.MidDB != nil || m.Spectrum.SideDB != nil {
		t.Errorf("%+v, %v", m.Width, m.Spectrum.MidDB)
	}
	if m.Kick == nil || m.Kick.SubNote != "A1" {
		t.Errorf("kick %+v", m.Kick)
	}
}

// TestNewKick: what is found of a sub that runs on through the kicks is in the record, and of too few
// nothing.
func TestNewKick(t *testing.T) {
	r := drum.Result{Kicks: 60, Phase: drum.Phase{Held: 41, Median: -0.1, Worst: -1.7}}
	if k := newKick(r); k.Kicks != 60 || k.HeldThrough != 41 || k.AttackSumDB != -0.1 || k.AttackWorstDB != -1.7 {
		t.Errorf("%+v", k)
	}
	r.Phase = drum.Phase{Held: 3, Median: math.NaN(), Worst: math.NaN()}
	if k := newKick(r); k.HeldThrough != 0 || k.AttackSumDB.Exists() || k.AttackWorstDB.Exists() {
		t.Errorf("of three %+v", k)
	}
}

// TestOldRecords: what a record of before lacks does not exist, and is no 0.
func TestOldRecords(t *testing.T) {
	var m Measurement
	if err := json.Unmarshal([]byte(`{"kick":{"kicks":3},"width":{}}`), &m); err != nil {
		t.Fatal(err)
	}
	for _, v := range []Value{m.Kick.OverBassDB, m.Kick.DipDB, m.Kick.BackAfterS, m.Kick.SubHz, m.Kick.SubCents, m.Kick.SubUp, m.Kick.AttackSumDB, m.Kick.AttackWorstDB,
		m.Width.LowCorrelation, m.Width.MonoWorstDB, m.Width.MonoWorstHz, m.Width.MonoWorstAtS} {
		if v.Exists() {
			t.Errorf("%v is there in %+v, %+v", v, m.Kick, m.Width)
		}
	}
}
