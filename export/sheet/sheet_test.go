package sheet

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

func readCSV(t *testing.T, b []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatalf("not RFC 4180: %v", err)
	}
	return rows
}

func TestTrimSheetIsWhatTheInterfaceFixes(t *testing.T) {
	quiet := madeup.Track(1, "Dubs/night bus, v7.wav", -11.04)
	quiet.Tags.Title, quiet.Tags.Artist = `Night "Bus"`, "Oslo, Nobody"
	quiet.Verdict, quiet.Reasons = standout.HoldBack, []string{"quiet", "sub thin"}
	quiet.LowEnd.SubDB, quiet.LowEnd.BassDB = -6.125, 0.5
	bpm := 125.5 // tags are claims: they never fill the columns of what was measured
	quiet.Tags.BPM, quiet.Tags.Key = &bpm, "A minor"
	loud := madeup.Track(2, "loud.flac", -5)
	loud.Measurement.Tempo.BPM = 140
	loud.Measurement.Key = &detect.Key{Name: "Eb major"}
	silent := madeup.Track(3, "silence.wav", 0)
	silent.Loudness, silent.MismatchDB = detect.Empty().Loudness, detect.None
	silent.Judgement.Trim = standout.Trim{TrimDB: detect.None, SafeDB: detect.None, LimitingDB: detect.None}
	silent.Reasons = []string{"silence"}
	ignored := madeup.Track(4, "ignored.wav", -20)
	ignored.Marks.Ignore = true

	var b bytes.Buffer
	if err := TrimsCSV(&b, []library.Track{silent, loud, ignored, quiet}, words.ByMismatch); err != nil {
		t.Fatal(err)
	}
	// INTERFACE, "The trim sheet": the header, word for word.
	const header = "path,title,artist,status,verdict,bpm,key,integrated_lufs,loudest_30s_lufs,true_peak_dbtp,sub_db,bass_db," +
		"reference_lufs,reference_tracks,mismatch_db,trim_db,safe_trim_db,limiting_db,reasons,root\r\n"
	if !strings.HasPrefix(b.String(), header) {
		t.Errorf("header is %q", strings.SplitN(b.String(), "\n", 2)[0])
	}
	want := [][]string{
		{"Dubs/night bus, v7.wav", `Night "Bus"`, "Oslo, Nobody", "unreleased", "hold back", "", "", "-12.04", "-11.04",
			"-0.40", "-6.13", "0.50", "-7.00", "12", "-4.04", "4.0", "0.1", "3.9", "quiet; sub thin", "/music"},
		{"loud.flac", "", "", "unreleased", "ready", "140.00", "Eb major", "-6.00", "-5.00",
			"-0.40", "", "", "-7.00", "12", "2.00", "-2.0", "-2.0", "0.0", "", "/music"},
		{"silence.wav", "", "", "unreleased", "ready", "", "", "", "",
			"-0.40", "", "", "-7.00", "12", "", "", "", "", "silence", "/music"},
	}
	if d := cmp.Diff(want, readCSV(t, b.Bytes())[1:]); d != "" {
		t.Errorf("rows (-want +got):\n%s", d)
	}
}

func TestTracksCSVHasACellForEveryHeading(t *testing.T) {
	full := madeup.Track(1, "a.wav", -9)
	depth := 24
	full.Measurement.File = detect.File{Format: "wav", Codec: "pcm_s24", SampleRateHz: 44100, Channels: 2, BitDepth: &depth, DurationS: 61.5, SizeBytes: 42}
	full.Error = &detect.Problem{Kind: "truncated", Detail: "ends early"}
	full.Faults = []detect.Fault{{Kind: "silence"}, {Kind: "dc_offset"}}
	full.Marks = library.Marks{Status: library.Released, Reference: true}
	full.Measurement.Key = &detect.Key{Name: "C minor", RunnerUp: "Eb major", Confidence: 0.5, TuningCents: -7}
	var b bytes.Buffer
	if err := TracksCSV(&b, []library.Track{full}, words.ByMismatch, nil); err != nil {
		t.Fatal(err)
	}
	rows := readCSV(t, b.Bytes())
	if len(rows) != 2 || len(rows[0]) != len(rows[1]) {
		t.Fatalf("%d rows, %d headings", len(rows), len(rows[0]))
	}
	got := map[string]string{}
	for i, name := range rows[0] {
		got[name] = rows[1][i]
	}
	for name, want := range map[string]string{
		"bit_depth": "24", "duration_s": "61.500", "size_bytes": "42", "faults": "silence; dc_offset", "error": "truncated: ends early",
		"marked": "released; reference", "key": "C minor", "key_runner_up": "Eb major", "tuning_cents": "-7", "year": "",
		"bpm": "", "loudest_30s_lufs": "-9.00", "trim_db": "2.0", "mono_loss_db": "", "tag_bpm": "",
	} {
		if got[name] != want {
			t.Errorf("%s is %q, want %q", name, got[name], want)
		}
	}
}

// The list of characters is that of OWASP, "CSV Injection".
func TestTextThatASpreadsheetWouldRunIsMadeSafe(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"=1+2", "'=1+2"}, {"+44", "'+44"}, {"-dash", "'-dash"}, {"@sum", "'@sum"}, {"\t=x", "'=x"}, {"\r=x", "'=x"},
		{"\n@x", "'@x"}, {"  =x", "'=x"}, {"\uFF1Dx", "'\uFF1Dx"}, {"a;=x", "a;'=x"}, {"a; \"=x", "a; \"'=x"}, {"\u202E=x", "'=x"},
		{"plain - text", "plain - text"}, {"a=b", "a=b"}, {"", ""}, {"'quoted", "'quoted"},
		{"bell\a and \x1b[31mred", "bell  and  [31mred"}, {"bad \xff\xfe", "bad \uFFFD"}, {"two\nlines", "two lines"},
	} {
		if got := cell(c.in); got != c.want {
			t.Errorf("cell(%q) = %q, want %q", c.in, got, c.want)
		}
	}
	if got := cell(strings.Repeat("é", 1<<20)); utf8.RuneCountInString(got) != 1000+3 {
		t.Errorf("a tag of 1 MB gives %d characters", utf8.RuneCountInString(got))
	}
}

func TestEveryTextSurvivesAsOneHarmlessCell(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(r, "text")
		one := madeup.Track(1, "a.wav", -7)
		one.Tags.Title = text
		var b bytes.Buffer
		if err := TrimsCSV(&b, []library.Track{one}, words.ByMismatch); err != nil {
			r.Fatal(err)
		}
		rows, err := csv.NewReader(&b).ReadAll()
		if err != nil || len(rows) != 2 {
			r.Fatalf("rows %d, %v", len(rows), err)
		}
		got := rows[1][1]
		if got != "" && strings.ContainsAny(got[:1], "=+-@\t\r\n") || !utf8.ValidString(got) || strings.ContainsFunc(got, unicode.IsControl) {
			r.Fatalf("cell %q", got)
		}
	})
}

// The sheet shows trims as the judge gives them, in steps of 0.1 dB; what it shows
// keeps the true peak under the ceiling.
func TestTrimsAreSafeAtTheirShownStep(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		one := madeup.Track(1, "a.wav", math.Round(rapid.Float64Range(-30, 0).Draw(r, "level")*1e4)/1e4)
		one.Peak.TruePeakDBTP = detect.Value(math.Round(rapid.Float64Range(-20, 3).Draw(r, "peak")*1e4) / 1e4)
		one.Judgement = standout.New(nil, standout.Options{}).Judge(standout.Of(1, &one.Measurement, nil))
		row := trimRow(&one)
		figure := func(name string) float64 {
			v, err := strconv.ParseFloat(row[slices.Index(trimHeader, name)], 64)
			if err != nil {
				r.Fatalf("%s: %v", name, err)
			}
			return v
		}
		wanted, safe, limiting := figure("trim_db"), figure("safe_trim_db"), figure("limiting_db")
		if over := float64(one.Peak.TruePeakDBTP) + safe - standout.DefaultCeiling; safe > 0 && over > 1e-6 || safe > wanted {
			r.Fatalf("wanted %g, safe %g, which passes the ceiling by %g", wanted, safe, over)
		}
		if math.Abs(wanted-safe-limiting) > 1e-9 {
			r.Fatalf("%g - %g is not %g", wanted, safe, limiting)
		}
	})
}

func TestTracksJSON(t *testing.T) {
	a, b := madeup.Track(1, "<a> & b.wav", -9), madeup.Track(2, "ignored.wav", -9)
	b.Marks.Ignore = true
	a.Reasons = []string{"quiet"}
	var out bytes.Buffer
	if err := TracksJSON(&out, []*library.Track{&a, &b}, nil); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "<a> & b.wav") {
		t.Error("the path is escaped as if for HTML")
	}
	lines := bufio.NewScanner(&out)
	lines.Buffer(nil, 1<<20)
	n := 0
	for lines.Scan() {
		n++
		var m map[string]any
		if err := json.Unmarshal(lines.Bytes(), &m); err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"path", "file", "tags", "loudness", "peak", "low_end", "spectrum", "tempo", "key", "faults", "error",
			"status", "verdict", "reasons", "reference", "trim"} {
			if _, ok := m[key]; !ok {
				t.Errorf("no %q in the record", key)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d lines, want 1", n)
	}
}

// TestOurs: what this package wrote is known again, also by an older version, and a
// sheet that somebody changed is not.
func TestOurs(t *testing.T) {
	tracks := []library.Track{madeup.Track(1, "a.wav", -9)}
	filled := func(write func(io.Writer, []library.Track, words.SortKey, whole.Fill) error) func(io.Writer, []library.Track, words.SortKey) error {
		return func(w io.Writer, tracks []library.Track, key words.SortKey) error { return write(w, tracks, key, nil) }
	}
	for name, write := range map[string]func(io.Writer, []library.Track, words.SortKey) error{
		"trims.csv": TrimsCSV, "tracks.csv": filled(TracksCSV), "trims.jsonl": TrimsJSON, "tracks.jsonl": filled(SortedJSON)} {
		var b bytes.Buffer
		if err := write(&b, tracks, words.ByName); err != nil {
			t.Fatal(err)
		}
		if !Ours(b.Bytes()) {
			t.Errorf("%s is not known again: %.200s", name, b.String())
		}
	}
	// The header as INTERFACE had it before columns were added.
	const old = "path,title,artist,status,verdict,bpm,key,integrated_lufs,loudest_30s_lufs,true_peak_dbtp,sub_db,bass_db," +
		"reference_lufs,reference_tracks,mismatch_db,trim_db,safe_trim_db,limiting_db,reasons"
	for text, want := range map[string]bool{
		old + "\r\n": true, old + "\n": true, old + ",my notes\r\n": false, "path,title\r\n": false, "": false,
		`{"path":"a","verdict":1}`: false, `{"id":1,"name":"x"}`: false, `{"id":1,"root":"/a"}`: false, "RIFF": false,
	} {
		if Ours([]byte(text)) != want {
			t.Errorf("%q: ours %v", text, !want)
		}
	}
}
