package words

import (
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"pgregory.net/rapid"

	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// Whole seconds are cut off as a player's display does it.
func TestClock(t *testing.T) {
	for _, c := range []struct {
		seconds float64
		want    string
	}{
		{0, "0:00"}, {59.6, "0:59"}, {60, "1:00"}, {61.999, "1:01"}, {599.5, "9:59"}, {3599.9, "59:59"},
		{3600, "1:00:00"}, {3661, "1:01:01"}, {36000, "10:00:00"}, {-0.2, "0:00"},
	} {
		if got := Clock(c.seconds); got != c.want {
			t.Errorf("%g s is %q, want %q", c.seconds, got, c.want)
		}
		for _, s := range []Style{Plain, Page} {
			if got := s.Clock(detect.Value(c.seconds)); c.seconds >= 0 && got != c.want {
				t.Errorf("%g s in a style is %q, want %q", c.seconds, got, c.want)
			}
		}
	}
	if a, b := Plain.Clock(detect.None), Page.Clock(detect.None); a != "-" || b != "" {
		t.Errorf("no time is %q and %q", a, b)
	}
	if a, b := Duration(59600*time.Millisecond), Duration(3*time.Hour+5*time.Minute); a != "0:59 min" || b != "3 h 05 min" {
		t.Errorf("durations are %q and %q", a, b)
	}
}

func TestFigures(t *testing.T) {
	for _, c := range []struct {
		v                 detect.Value
		data, plain, page string // Number, Change in dB, Change in dB
	}{
		{-3.26, "-3.3", "-3.3 dB", "\u22123.3 dB"}, {3.26, "3.3", "+3.3 dB", "+3.3 dB"}, {-0.04, "0.0", "+0.0 dB", "0.0 dB"},
		{0, "0.0", "+0.0 dB", "0.0 dB"}, {12, "12.0", "+12.0 dB", "+12.0 dB"}, {detect.None, "", "-", ""},
	} {
		if a, b, p := Data.Number(c.v, 1), Plain.Change(c.v, "dB"), Page.Change(c.v, "dB"); a != c.data || b != c.plain || p != c.page {
			t.Errorf("%v is %q, %q, %q, want %q, %q, %q", c.v, a, b, p, c.data, c.plain, c.page)
		}
	}
	if got := Plain.Figure(-8.25, "LUFS") + Page.Figure(-8, "") + Plain.Figure(detect.None, "LU"); got != "-8.3 LUFS\u22128.0-" {
		t.Errorf("figures read %q", got)
	}
}

func TestCounted(t *testing.T) {
	if got := Counted(1, "track") + Counted(0, "track") + Counted(2, "track"); got != "1 track0 tracks2 tracks" {
		t.Error(got)
	}
	if got := AndList([]string{"a", "b", "c"}) + AndList([]string{"a"}) + AndList(nil); got != "a, b and ca" {
		t.Error(got)
	}
	if got := Tally(3, standout.HoldBack) + Tally(1, standout.Check); got != "3 to hold back1 to check" {
		t.Error(got)
	}
}

// No text steers what shows it, whatever its bytes.
func TestTextIsHarmless(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := string(rapid.SliceOf(rapid.Byte()).Draw(r, "bytes")) + rapid.String().Draw(r, "text")
		for name, got := range map[string]string{"Clean": Clean(text), "OneLine": OneLine(text), "Typeset": Typeset(text)} {
			if !utf8.ValidString(got) || strings.ContainsFunc(got, func(c rune) bool { return unicode.IsControl(c) || unicode.Is(unicode.Bidi_Control, c) }) {
				r.Fatalf("%s gives %q", name, got)
			}
		}
	})
	for _, c := range []struct{ in, clean, printable, line string }{
		{" a\nb ", "a b", " a\nb ", ` a\nb `},
		{"\x1b[31mred\u202e", "[31mred", `\u001b[31mred\u202e`, `\u001b[31mred\u202e`},
		{"x\xff\uFEFFy\u2028z", "x\uFFFD y z", "x\uFFFD\\ufeffy\\u2028z", "x\uFFFD\\ufeffy\\u2028z"},
	} {
		if a, b, l := Clean(c.in), Printable(c.in), OneLine(c.in); a != c.clean || b != c.printable || l != c.line {
			t.Errorf("%q gives %q, %q, %q", c.in, a, b, l)
		}
	}
	if n := utf8.RuneCountInString(Clean(strings.Repeat("é", 5000))); n != maxText+3 {
		t.Errorf("a text of 5000 characters gives %d", n)
	}
	if got := Typeset("-3 dB (-1.5) a-1 -x"); got != "\u22123 dB (\u22121.5) a-1 -x" {
		t.Errorf("typeset: %q", got)
	}
}

// The one sentence of each figure, in both styles.
func TestMeasuredFigures(t *testing.T) {
	x := madeup.Track(1, "Dubs/night bus.wav", -9)
	depth, bpm := 24, 140.0
	x.Measurement.File = detect.File{Format: "wav", Codec: "pcm_s24", SampleRateHz: 22050, Channels: 2, BitDepth: &depth, DurationS: 59.6, SizeBytes: 7_940_000}
	m := &x.Measurement.Tempo
	m.BPM, m.Confidence, m.AlternativeBPM, m.DriftPercent, m.DriftFromS, m.FirstBeatS, m.SwingPercent = 126.04, 0.6, 63.02, -0.3, 65.9, 0.0123, 55
	m.FirstDownbeatS, m.DownbeatConfidence, m.EighthSwingPercent = 0.489, 0.9, 62.4
	m.SwingConfidence = 0.95 // of the eighths it is not known
	x.Measurement.Key = &detect.Key{Name: "A minor", Confidence: 0.4, RunnerUp: "C major", TuningCents: -7}
	x.Tags.BPM, x.Tags.Key = &bpm, "Em"
	doubt := x
	doubt.Measurement.Tempo.BeatConfidence, doubt.Measurement.Tempo.FirstDownbeatS = 0.69, detect.None
	surely := x
	surely.Measurement.Tempo.BeatConfidence, surely.Measurement.Tempo.FirstDownbeatS = 0.99, detect.None
	none := madeup.Track(2, "x.wav", -9)
	track := func(level float64) *library.Track { t := madeup.Track(3, "y.wav", level); return &t }
	for _, c := range []struct{ name, got, want string }{
		{"tempo, page", Page.Tempo(&x), "126.0 BPM, fairly sure; may be felt as 63.0; drifts by 0.3 % from 1:05; first beat at 0.01 s."},
		{"tempo, plain", Plain.Tempo(&x), "126.04 BPM, 60 % sure; may be felt as 63.02; drifts by 0.3 % from 1:05; first beat at 0.012 s; a bar begins at 0.489 s, 90 % sure; swing 55 %, 95 % sure; swing of eighths 62 %; the tag says 140"},
		{"beat in doubt, page", Page.Tempo(&doubt), "126.0 BPM, fairly sure; may be felt as 63.0; drifts by 0.3 % from 1:05; first beat at 0.01 s, or half a beat off."},
		{"beat in doubt, plain", Plain.Tempo(&doubt), "126.04 BPM, 60 % sure; may be felt as 63.02; drifts by 0.3 % from 1:05; first beat at 0.012 s, 69 % sure, or half a beat off; swing 55 %, 95 % sure; swing of eighths 62 %; the tag says 140"},
		{"beat that is sure, page", Page.Tempo(&surely), "126.0 BPM, fairly sure; may be felt as 63.0; drifts by 0.3 % from 1:05; first beat at 0.01 s."},
		{"beat that is sure, plain", Plain.Tempo(&surely), "126.04 BPM, 60 % sure; may be felt as 63.02; drifts by 0.3 % from 1:05; first beat at 0.012 s, 99 % sure; swing 55 %, 95 % sure; swing of eighths 62 %; the tag says 140"},
		{"no tempo", Page.Tempo(&none) + Plain.Tempo(&none), "No tempo found.No tempo found"},
		{"key, page", Page.Key(&x), "A minor, unsure; else C major; tuned 7 cents flat."},
		{"key, plain", Plain.Key(&x), "A minor, 40 % sure; else C major; tuned 7 cents flat; the tag says Em"},
		{"no key", Page.Key(&none) + Plain.Key(&none), "No key found.No key found"},
		{"file, page", Page.File(&x), "WAV, 24 bit, 22.1 kHz, stereo, 0:59, 7.9 MB"},
		{"file, plain", Plain.File(&x), "WAV (pcm_s24), 24 bit, 22.05 kHz, stereo, 0:59, 7.9 MB"},
		{"fault", Plain.Fault(detect.Fault{Detail: "a click", AtS: 61.9}), "a click, at 1:01"},
		{"a fault without words", Plain.Fault(detect.Fault{Kind: "hiss", AtS: detect.None}), "noise"},
		{"trim", Page.TrimWords(&x), "+2.0 dB at the mixer; in the file its peaks allow +0.1 dB, the rest takes at least 1.9 dB of limiting in the master."},
		{"trim, plain", Plain.Trim(&x) + " " + Page.Trim(track(-5)), "+2.0 \u22122.0"},
		{"trim that is a question", Plain.Trim(track(-20)) + " " + Page.Trim(track(6)) + " " + Plain.Trim(track(-19)), "+13.0? \u221213.0? +12.0"},
		{"no trim", Plain.Trim(&library.Track{Judgement: standout.Judgement{Trim: standout.Trim{TrimDB: detect.None}}}), "-"},
		{"relation", Relation(key.FifthUp) + Relation(key.Unknown), "a fifth up"},
		{"group", Plain.Group(&standout.Group{Basis: "like", Tracks: 9, BPM: 126}), "the 9 released tracks most like it in tempo and rhythm, at 126.0 BPM"},
		{"marked", Marked(&library.Track{Status: "released"}) + "; " + Marked(&library.Track{Status: "unknown", Marks: library.Marks{Reference: true}}), "released; a reference, unknown"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
	m.ChangeAtS, m.ChangeFromBPM, m.ChangeToBPM = 75.3, 126.04, 140
	if got, want := Page.Tempo(&x), "126.0 BPM, fairly sure; may be felt as 63.0; changes from 126.0 to 140.0 at 1:15; first beat at 0.01 s."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	m.Changes = []detect.TempoChange{{AtS: 75.3, FromBPM: 126.04, ToBPM: 140}, {AtS: 150, FromBPM: 140, ToBPM: 126}}
	if got, want := Page.Tempo(&x), "126.0 BPM, fairly sure; may be felt as 63.0; changes from 126.0 to 140.0 at 1:15, to 126.0 at 2:30; first beat at 0.01 s."; got != want {
		t.Errorf("two changes: %q, want %q", got, want)
	}
	m.ChangeAtS, m.Changes = detect.None, nil
	x.Measurement.Key.Changes = []detect.KeyChange{{AtS: 75.3, From: "G minor", To: "A minor"}, {AtS: detect.None, From: "A minor", To: "B minor"}}
	if got, want := Page.Key(&x), "A minor, unsure; else C major; changes from G minor to A minor at 1:15; tuned 7 cents flat."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	bpm = 127.9 // a tag within 2 % says the same
	if got := Plain.Tempo(&x); strings.Contains(got, "tag") {
		t.Errorf("a rounded tag is named: %q", got)
	}
	bpm = 93
	x.Measurement.Tempo.BPM, x.Measurement.Key = detect.None, nil
	if got := Page.Tempo(&x) + Page.Key(&x); got != "93.0 BPM by its tag; none measured.Em by its tag; none measured." {
		t.Errorf("what only the tags say reads %q", got)
	}
}
