package export

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// track builds a track of invented figures; mismatch and trims follow from the
// level and a group at -7 LUFS, as the judge would have it.
func track(id int64, path string, level float64) library.Track {
	t := library.Track{ID: id, Root: "/music", Record: library.Record{Path: path, Measurement: detect.Empty()}}
	t.Loudness.Loudest30sLUFS = detect.Value(level)
	t.Loudness.IntegratedLUFS = detect.Value(level - 1)
	t.Peak.TruePeakDBTP = -0.4
	t.Status, t.Verdict = library.Unreleased, standout.Ready
	t.Reference = standout.Group{Basis: "released", Tracks: 12, LUFS: -7, BPM: detect.None}
	t.MismatchDB = detect.Value(level + 7)
	t.Judgement.Trim = standout.Trim{TrimDB: -t.MismatchDB, SafeDB: min(-t.MismatchDB, 0.1), LimitingDB: 0}
	return t
}

func readCSV(t *testing.T, b []byte) [][]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(b)).ReadAll()
	if err != nil {
		t.Fatalf("not RFC 4180: %v", err)
	}
	return rows
}

func TestTrimSheetIsWhatTheInterfaceFixes(t *testing.T) {
	quiet := track(1, "Dubs/night bus, v7.wav", -11.04)
	quiet.Tags.Title, quiet.Tags.Artist = `Night "Bus"`, "Oslo, Nobody"
	quiet.Verdict, quiet.Reasons = standout.HoldBack, []string{"quiet", "sub thin"}
	quiet.LowEnd.SubDB, quiet.LowEnd.BassDB = -6.125, 0.5
	bpm := 125.5 // tags are claims: they never fill the columns of what was measured
	quiet.Tags.BPM, quiet.Tags.Key = &bpm, "A minor"
	loud := track(2, "loud.flac", -5)
	loud.Measurement.Tempo.BPM = 140
	loud.Measurement.Key = &detect.Key{Name: "Eb major"}
	silent := track(3, "silence.wav", 0)
	silent.Loudness, silent.MismatchDB = detect.Empty().Loudness, detect.None
	silent.Judgement.Trim = standout.Trim{TrimDB: detect.None, SafeDB: detect.None, LimitingDB: detect.None}
	silent.Reasons = []string{"silence"}
	ignored := track(4, "ignored.wav", -20)
	ignored.Marks.Ignore = true

	var b bytes.Buffer
	if err := TrimsCSV(&b, []library.Track{silent, loud, ignored, quiet}); err != nil {
		t.Fatal(err)
	}
	// INTERFACE, "The trim sheet": the header, word for word.
	const header = "path,title,artist,status,verdict,bpm,key,integrated_lufs,loudest_30s_lufs,true_peak_dbtp,sub_db,bass_db," +
		"reference_lufs,reference_tracks,mismatch_db,trim_db,safe_trim_db,limiting_db,reasons\r\n"
	if !strings.HasPrefix(b.String(), header) {
		t.Errorf("header is %q", strings.SplitN(b.String(), "\n", 2)[0])
	}
	want := [][]string{
		{"Dubs/night bus, v7.wav", `Night "Bus"`, "Oslo, Nobody", "unreleased", "hold back", "", "", "-12.04", "-11.04",
			"-0.40", "-6.12", "0.50", "-7.00", "12", "-4.04", "4.0", "0.1", "3.9", "quiet; sub thin"},
		{"loud.flac", "", "", "unreleased", "ready", "140.00", "Eb major", "-6.00", "-5.00",
			"-0.40", "", "", "-7.00", "12", "2.00", "-2.0", "-2.0", "0.0", ""},
		{"silence.wav", "", "", "unreleased", "ready", "", "", "", "",
			"-0.40", "", "", "-7.00", "12", "", "", "", "", "silence"},
	}
	if d := cmp.Diff(want, readCSV(t, b.Bytes())[1:]); d != "" {
		t.Errorf("rows (-want +got):\n%s", d)
	}
}

func TestTracksCSVHasACellForEveryHeading(t *testing.T) {
	full := track(1, "a.wav", -9)
	depth := 24
	full.Measurement.File = detect.File{Format: "wav", Codec: "pcm_s24", SampleRateHz: 44100, Channels: 2, BitDepth: &depth, DurationS: 61.5, SizeBytes: 42}
	full.Error = &detect.Problem{Kind: "truncated", Detail: "ends early"}
	full.Faults = []detect.Fault{{Kind: "silence"}, {Kind: "dc_offset"}}
	full.Marks = library.Marks{Status: library.Released, Reference: true}
	full.Measurement.Key = &detect.Key{Name: "C minor", RunnerUp: "Eb major", Confidence: 0.5, TuningCents: -7}
	var b bytes.Buffer
	if err := TracksCSV(&b, []library.Track{full}); err != nil {
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
	if got := cell(strings.Repeat("é", 1<<20)); utf8.RuneCountInString(got) != maxText+3 {
		t.Errorf("a tag of 1 MB gives %d characters", utf8.RuneCountInString(got))
	}
}

func TestEveryTextSurvivesAsOneHarmlessCell(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(r, "text")
		one := track(1, "a.wav", -7)
		one.Tags.Title = text
		var b bytes.Buffer
		if err := TrimsCSV(&b, []library.Track{one}); err != nil {
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

func TestSort(t *testing.T) {
	a, b, c, d := track(1, "d.wav", -7.5), track(2, "c.wav", -3), track(3, "b.wav", -9), track(4, "a.wav", -7)
	d.MismatchDB, d.Verdict = detect.None, standout.Unreadable
	a.Verdict = standout.HoldBack
	a.Tags.Title, a.Tags.Artist = "zebra", "Aunt"
	a.Measurement.Tempo.BPM, b.Measurement.Tempo.BPM = 174, 90
	c.Deviations = []standout.Deviation{{Quantity: standout.Sub, DB: -6}, {Quantity: standout.LowEnd, DB: 1}}
	b.Deviations = []standout.Deviation{{Quantity: standout.Sub, DB: 5}, {Quantity: standout.LowEnd, DB: 3}}
	for _, x := range []struct {
		key  SortKey
		want []int64
	}{
		{ByMismatch, []int64{2, 3, 1, 4}}, {ByLow, []int64{2, 3, 4, 1}}, {BySub, []int64{3, 2, 4, 1}},
		{ByName, []int64{4, 1, 3, 2}}, {ByTempo, []int64{2, 1, 4, 3}}, {ByVerdict, []int64{4, 1, 2, 3}},
	} {
		list := []library.Track{a, b, c, d}
		Sort(list, x.key)
		var got []int64
		for _, t := range list {
			got = append(got, t.ID)
		}
		if d := cmp.Diff(x.want, got); d != "" {
			t.Errorf("by %s (-want +got):\n%s", x.key, d)
		}
	}
	if _, err := ParseSortKey("loudness"); err == nil || !strings.Contains(err.Error(), "mismatch, low, sub") {
		t.Errorf("an unknown key gives %v", err)
	}
	if k, err := ParseSortKey("tempo"); k != ByTempo || err != nil {
		t.Errorf("tempo gives %q, %v", k, err)
	}
}

func TestTrimsAreSafeAtTheirShownStep(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		wanted := rapid.Float64Range(-20, 20).Draw(r, "wanted")
		one := library.Track{}
		one.Judgement.Trim.TrimDB = detect.Value(wanted)
		one.Judgement.Trim.SafeDB = detect.Value(wanted - rapid.Float64Range(0, 20).Draw(r, "limiting"))
		got := Trims(&one)
		if got.SafeDB > one.Judgement.Trim.SafeDB+1e-6 || got.SafeDB > got.TrimDB || got.LimitingDB < 0 {
			r.Fatalf("%+v from %+v", got, one.Judgement.Trim)
		}
		for _, v := range []detect.Value{got.TrimDB, got.SafeDB, got.LimitingDB} {
			shown, _ := strconv.ParseFloat(number(v, 1), 64)
			if d := shown - float64(v); d > 1e-9 || d < -1e-9 {
				r.Fatalf("%v is not a tenth", v)
			}
		}
	})
}

func TestTracksJSON(t *testing.T) {
	a, b := track(1, "<a> & b.wav", -9), track(2, "ignored.wav", -9)
	b.Marks.Ignore = true
	a.Reasons = []string{"quiet"}
	var out bytes.Buffer
	if err := TracksJSON(&out, []library.Track{a, b}); err != nil {
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
