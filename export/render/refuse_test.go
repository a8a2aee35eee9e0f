package render

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/output"
	"dubgauge/library"
)

// TestNothingIsReplaced, neither by the copy nor by the note, not even an empty file; and
// what the caller wants kept stays.
func TestNothingIsReplaced(t *testing.T) {
	dir := t.TempDir()
	source(t, dir+"/a.wav", 44100, groove(44100, 3, 0.5))
	track := judged(t, dir, "a.wav", played(t, dir, "a.wav")-2)
	for _, taken := range []string{"a [trim -2.0 dB].wav", "a [trim -2.0 dB].json"} {
		to := t.TempDir()
		if err := os.WriteFile(filepath.Join(to, taken), nil, 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := Copy(t.Context(), track, to, plain, nil, func(float64) { t.Error("it was begun") })
		if !errors.As(err, new(*output.Refusal)) || !strings.Contains(err.Error(), "there already") {
			t.Errorf("%s: error %v", taken, err)
		}
		if entries, _ := os.ReadDir(to); len(entries) != 1 {
			t.Errorf("%s: %v is left", taken, entries)
		}
	}
	keep := func(string) (string, error) { return "must stay", nil }
	if _, err := Copy(t.Context(), track, t.TempDir(), plain, keep, nil); err == nil || !strings.Contains(err.Error(), "must stay") {
		t.Errorf("error %v", err)
	}
}

// TestNoHalfFile: stopped in the middle, or of a file that is another one by now, nothing
// is left.
func TestNoHalfFile(t *testing.T) {
	dir, to := t.TempDir(), t.TempDir()
	source(t, dir+"/a.wav", 44100, groove(44100, 4, 0.5))
	track := judged(t, dir, "a.wav", played(t, dir, "a.wav")-2)
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	_, err := Copy(ctx, track, to, plain, nil, func(s float64) {
		if s > 2 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: error %v", err)
	}
	for _, changed := range [][]float64{groove(44100, 4, 0.6), groove(48000, 4, 0.5)} {
		source(t, dir+"/a.wav", len(changed)/4, changed)
		if _, err := Copy(t.Context(), track, to, plain, nil, nil); err != errChanged {
			t.Errorf("another file: error %v", err)
		}
	}
	if entries, _ := os.ReadDir(to); len(entries) != 0 {
		t.Errorf("%v is left", entries)
	}
}

// TestRefusals: what no copy is made of, and why.
func TestRefusals(t *testing.T) {
	dir := t.TempDir()
	source(t, dir+"/a.wav", 44100, groove(44100, 3, 0.9))
	level := played(t, dir, "a.wav")
	for _, c := range []struct {
		why   string
		dB    float64
		o     Options
		spoil func(x *library.Track)
	}{
		{"marked to be ignored", -2, plain, func(x *library.Track) { x.Marks.Ignore = true }},
		{"plug the stick in", -2, plain, func(x *library.Track) { x.MissingSince = x.MeasuredAt.AddDate(1, 0, 0) }},
		{"cannot be read whole", -2, plain, func(x *library.Track) { x.Error = &detect.Problem{Kind: reason.ProblemDamaged} }},
		{"no level to go by", -2, plain, func(x *library.Track) { x.Trim = standout.NoTrim }},
		{"is this the finished file?", -13, plain, func(*library.Track) {}},
		{"true peak is not known", -2, plain, func(x *library.Track) { x.Peak.TruePeakDBTP = detect.None }},
		{"5 channels", -2, plain, func(x *library.Track) { x.Measurement.File.Channels = 5 }},
		{"too long for WAV", -2, plain, func(x *library.Track) { x.Measurement.File.DurationS = 10 * 3600 }},
		{"leave no room for +2.0 dB", 2, plain, func(x *library.Track) { x.Peak.TruePeakDBTP = -0.3 }},
		{"no limiter", 2, options(WAV, true), func(x *library.Track) { x.Trim.LimitingDB = detect.None }},
	} {
		x := judged(t, dir, "a.wav", level+c.dB)
		c.spoil(x)
		to := t.TempDir()
		_, err := Copy(t.Context(), x, to, c.o, nil, nil)
		if !errors.As(err, new(*Refusal)) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: error %v", c.why, err)
		}
		if entries, _ := os.ReadDir(to); len(entries) != 0 {
			t.Errorf("%s: %v is left", c.why, entries)
		}
	}
}

// TestNoSampleIsCutOff: a track over full scale, as floats hold, that is turned down by less
// than that is turned down by more.
func TestNoSampleIsCutOff(t *testing.T) {
	x := &library.Track{Record: library.Record{Path: "a.wav", Measurement: detect.Empty()}}
	x.Measurement.File.Channels, x.Measurement.File.SampleRateHz, x.Measurement.File.DurationS = 2, 44100, 60
	x.Peak.TruePeakDBTP, x.Peak.SamplePeakDBFS = 3.5, 3
	x.Reference.LUFS, x.MismatchDB = -8, 1
	x.Trim = standout.NoTrim
	x.Trim.TrimDB, x.Trim.SafeDB, x.Trim.LimitingDB = -1, -1, 0
	p, err := MakePlan(x, plain)
	if err != nil || p.Gain != -3 || p.Missing != 2 || p.Target != -10 {
		t.Errorf("%+v, error %v", p, err)
	}
	p, err = MakePlan(x, options(WAV, true))
	if err != nil || !p.Limited || p.Target != -8 || p.Gain != -1 {
		t.Errorf("with a limiter: %+v, error %v", p, err)
	}
}

// TestTrimOfNothing: what is nearer to its references than a trim is rounded to stays where it is.
func TestTrimOfNothing(t *testing.T) {
	x := &library.Track{Record: library.Record{Path: "a.wav", Measurement: detect.Empty()}}
	x.Measurement.File.Channels, x.Measurement.File.SampleRateHz, x.Measurement.File.DurationS = 2, 44100, 60
	x.Peak.TruePeakDBTP, x.Peak.SamplePeakDBFS = -1, -1.2
	x.Reference.LUFS, x.MismatchDB = -8, 0.04
	x.Trim = standout.NoTrim
	x.Trim.TrimDB, x.Trim.SafeDB, x.Trim.LimitingDB = 0, 0, 0
	p, err := MakePlan(x, plain)
	if err != nil || p.Gain != 0 || p.Wanted != 0 || math.Abs(p.Target+7.96) > 1e-9 {
		t.Errorf("%+v, error %v; want the target where it is, at -7.96", p, err)
	}
}

func TestNames(t *testing.T) {
	x := &library.Track{Record: library.Record{Path: "Own/what: a <b>? v7.final.aiff"}}
	for _, c := range []struct {
		p    Plan
		f    Format
		want string
	}{
		{Plan{Wanted: -2.34}, WAV, "what_ a _b__ v7.final [trim -2.3 dB].wav"},
		{Plan{Wanted: 4, Missing: 1.5}, FLAC, "what_ a _b__ v7.final [trim +2.5 dB].flac"},
		{Plan{Wanted: 4, Limited: true}, WAV, "what_ a _b__ v7.final [trim +4.0 dB, limited].wav"},
	} {
		if got := Name(x, &c.p, c.f); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	x.Path = strings.Repeat("ü", 200) + ".mp3"
	if got := Name(x, &Plan{}, WAV); len(got) > longestName || len(got) < longestName-2 || !strings.HasSuffix(got, "ü [trim +0.0 dB].wav") {
		t.Errorf("%d bytes: %q", len(got), got)
	}
}

func TestParseFormat(t *testing.T) {
	for s, want := range map[string]Format{"wav": WAV, "flac": FLAC, "mp3": "", "": ""} {
		if got, err := ParseFormat(s); got != want || (err == nil) != (want != "") {
			t.Errorf("%q: %q, %v", s, got, err)
		}
	}
}
