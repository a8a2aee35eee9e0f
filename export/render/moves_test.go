package render

import (
	"dubgauge/detect/advice"
	"dubgauge/detect/reason"
	"dubgauge/library"
	"math"
	"path/filepath"
	"strings"
	"testing"
)

// The moves come first: what they do is heard in the copy, which reaches its target behind
// them, and the note and the name say so.
func TestMoves(t *testing.T) {
	dir, to := t.TempDir(), t.TempDir()
	const rate = 44100
	x := groove(rate, 8, 0.4)
	source(t, filepath.Join(dir, "a.wav"), rate, x, x)
	was, err := library.Measure(t.Context(), filepath.Join(dir, "a.wav"))
	if err != nil {
		t.Fatal(err)
	}
	target := played(t, dir, "a.wav") - 1.5
	track := judged(t, dir, "a.wav", target)
	moves := []advice.Move{{Filter: reason.HighShelf, Hz: 2000, DB: 6, Q: 0.7}, {Filter: reason.Bell, Hz: 500, DB: -4, Q: 1}}
	for _, c := range []struct {
		name    string
		limit   bool
		more    float64 // of the target
		limited bool
	}{{"down", false, 0, false}, {"limited", true, 11, true}} {
		o := options(WAV, c.limit)
		o.Moves = moves
		if c.limited {
			o.Moves = moves[:1]
		}
		track := track
		if c.more != 0 {
			track = judged(t, dir, "a.wav", target+c.more)
		}
		done, err := Copy(t.Context(), track, to, o, nil, nil)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		got, err := library.Measure(t.Context(), done.Copy)
		if err != nil {
			t.Fatal(err)
		}
		if miss := float64(got.PlayedLUFS()) - target - c.more; math.Abs(miss) > 0.05 {
			t.Errorf("%s: %.3f LU off", c.name, miss)
		}
		if (done.Limited != nil) != c.limited || float64(got.Peak.TruePeakDBTP) > plain.Ceiling+0.01 {
			t.Errorf("%s: limited %+v, peak %v", c.name, done.Limited, got.Peak.TruePeakDBTP)
		}
		said := "Before it: high shelf at 2 kHz, +6.0 dB."
		if !c.limited {
			said += " Before it: bell at 500 Hz, Q 1.0, -4.0 dB."
		}
		if len(done.Moves) != len(o.Moves) || !strings.Contains(strings.Join(done.Said, " "), said) || !strings.Contains(done.Copy, ", equalised].wav") {
			t.Errorf("%s: %s, %q", c.name, done.Copy, done.Said)
		}
		if c.limited {
			continue
		}
		// Noise alone is at 4 kHz and up: the shelf gives it 6 dB but for its slope, against 100 Hz.
		change := func(band int) float64 {
			return float64(got.Spectrum.WholeDB[band] - was.Spectrum.WholeDB[band])
		}
		if d := change(28) - change(4); math.Abs(d-6) > 0.3 {
			t.Errorf("12.5 kHz against 50 Hz: %+.2f dB, want +6", d)
		}
	}
}
