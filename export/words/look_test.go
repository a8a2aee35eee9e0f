package words

import (
	"math"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/coded"
	"dubgauge/library"
)

// What is said with and without an encoder; the rises are those of the table in package coded.
func TestCopy(t *testing.T) {
	const none = "no encoder is at hand"
	for _, c := range []struct {
		e             coded.Encoding
		before, after detect.Value
		want          string
	}{
		{coded.MP3320, -0.3, 0.24, "true peak -0.3 dBTP before, +0.2 dBTP after: a ceiling of -0.6 dBTP keeps a copy under full scale"},
		{coded.MP3320, -1, -0.4, "true peak -1.0 dBTP before, -0.4 dBTP after: under full scale"},
		{coded.MP3320, -0.3, detect.None, "not measured (no encoder is at hand); of masters like it few rise by more than 0.5 dB: " +
			"true peak up to +0.2 dBTP; a ceiling of -0.5 dBTP is on the safe side"},
		{coded.AAC256, -1, detect.None, "not measured (no encoder is at hand); of masters like it few rise by more than 3.5 dB: " +
			"true peak up to +2.5 dBTP; only measuring tells a ceiling"},
	} {
		x := coded.NewCopy(c.e, c.before, c.after, -20, none)
		if got := Plain.Copy(&x); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestByBand(t *testing.T) {
	var l coded.Look
	l.Ratios.Low, l.Ratios.Mid, l.Ratios.High = 9.04, 7.5, 12
	track := library.Track{}
	want := "peak to loudness 9.0 LU below 150 Hz, 7.5 LU up to 2 kHz, 12.0 LU above"
	if got := Plain.ByBand(&l, &track); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	track.Limiting = &detect.Limiting{FlatShare: 0.5}
	if got := Plain.ByBand(&l, &track); got != want+"; 50 % touches the top" {
		t.Errorf("%q", got)
	}
}

func TestExpectedCopy(t *testing.T) {
	var track library.Track
	track.Peak.TruePeakDBTP = -1
	if got, want := Plain.ExpectedCopy(&track, coded.MP3320), "true peak up to -0.5 dBTP expected, nine times of ten"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	track.Peak.TruePeakDBTP = detect.Value(math.NaN())
	if got := Plain.ExpectedCopy(&track, coded.MP3320); got != "" {
		t.Errorf("of silence %q", got)
	}
	if a, b := ShortEncoding(coded.MP3320), ShortEncoding(coded.AAC256); a != "MP3 320" || b != "AAC 256" {
		t.Errorf("%q, %q", a, b)
	}
}
