package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/spectrum"
)

// written is a record as dubgauge measure writes it, with a flat spectrum.
func written(t *testing.T, genre string, level detect.Value) string {
	t.Helper()
	m := detect.Empty()
	m.Loudness.Loudest30sLUFS = level
	m.Faults = []detect.Fault{{Kind: "click"}}
	b := &m.Balance
	for _, v := range []*detect.Value{&b.LowDB, &b.LowMidDB, &b.MidDB, &b.PresenceDB, &b.TrebleDB, &b.AirDB, &b.SubShareDB} {
		*v = -10
	}
	b.ThirdsDB = make(detect.Values, 8)
	m.Spectrum.LoudestDB = make(detect.Values, spectrum.Bands)
	for i := range m.Spectrum.LoudestDB {
		m.Spectrum.LoudestDB[i] = -20
	}
	line, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSuffix(string(line), "}") + `,"tags":{"genre":"` + genre + `"}}`
}

// Masters of other makers are grouped by their genre, are clean, and are spoilt as a filter and a
// gain spoil them: a shelf of the low end on the mix keeps the level, on the master a cut takes it
// down and a boost does little.
func TestMeasured(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x.jsonl")
	if err := os.WriteFile(path, []byte(written(t, "one", -8)+"\n"+written(t, "", -9)+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	b, err := readMeasured(path, "all")
	if err != nil || len(b.songs) != 2 || b.songs[0].Spec.Genre != "one" || b.songs[1].Spec.Genre == "" || len(b.songs[0].Measurement.Faults) != 0 {
		t.Fatalf("%+v, %v", b, err)
	}
	clean := b.songs[0]
	of := func(defect string) (level, low, peak float64) {
		r := b.with(clean, defect)
		if r == nil {
			t.Fatalf("no %s", defect)
		}
		return float64(r.Measurement.Loudness.Loudest30sLUFS + 8), float64(r.Measurement.Balance.LowDB + 10), float64(r.Measurement.Peak.TruePeakDBTP)
	}
	if level, low, _ := of("gain -3"); level != -3 || low != 0 {
		t.Errorf("gain: %g LU, %g dB in the low end", level, low)
	}
	for defect, bounds := range map[string][4]float64{
		"low shelf 100 Hz -6 (mix)": {0, 0, -6, -4}, "low shelf 100 Hz -6 (master)": {-1, -0.05, -6, -4},
		"high shelf 8 kHz +8 (mix)": {0, 0, -8, -1}, "high shelf 8 kHz +8 (master)": {0.2, 2, -8, -1},
	} {
		if level, low, _ := of(defect); level < bounds[0] || level > bounds[1] || low < bounds[2] || low > bounds[3] {
			t.Errorf("%s: %.2f LU, %.2f dB in the low end", defect, level, low)
		}
	}
	whole := throughFilter(clean, defectNamed("high shelf 8 kHz +8 (master)").Filter())[levelFigure]
	if level, _, _ := of("high shelf 8 kHz +8 (master)"); math.Abs(level-pushed*whole) > 1e-9 {
		t.Errorf("a boost of a master: %.3f LU, want %.3f", level, pushed*whole)
	}
	for _, kind := range []string{sameKind, otherKind, mixedKind} {
		if !asked(kind, "one") {
			t.Errorf("%s is not asked", kind)
		}
	}
	if fits(sameKind, b.songs[1].Spec, clean.Spec) || !fits(otherKind, b.songs[1].Spec, clean.Spec) || fits(mixedKind, clean.Spec, clean.Spec) {
		t.Error("the wrong songs are references")
	}
}

// What is no record is said with its line.
func TestMeasuredWrong(t *testing.T) {
	for text, said := range map[string]string{"{": "line 1", "{}": "third octaves"} {
		path := filepath.Join(t.TempDir(), "x.jsonl")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, err := readMeasured(path, "all"); err == nil || !strings.Contains(err.Error(), said) {
			t.Errorf("%s: %v", text, err)
		}
	}
	if _, err := readMeasured(filepath.Join(t.TempDir(), "none"), "all"); err == nil {
		t.Error("a file that is not there is read")
	}
}

// Records that name their song and what was done to it are that song's, and then nothing is spoilt
// in figures.
func TestMeasuredSpoilt(t *testing.T) {
	line := func(song, defect string, level detect.Value) string {
		return strings.TrimSuffix(written(t, "one", level), "}") + `,"song":"` + song + `","defect":"` + defect + `"}` + "\n"
	}
	path := filepath.Join(t.TempDir(), "x.jsonl")
	text := line("first", "", -8) + line("second", "", -7) + line("second", "gain -3", -10)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	b, err := readMeasured(path, "all")
	if err != nil || len(b.songs) != 2 || len(b.spoilt) != 1 {
		t.Fatalf("%+v, %v", b, err)
	}
	if r := b.with(b.songs[1], "gain -3"); r == nil || r.Measurement.Loudness.Loudest30sLUFS != -10 || b.with(b.songs[0], "gain -3") != nil {
		t.Errorf("the second song with a gain: %+v", r)
	}
}
