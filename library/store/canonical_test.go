package store

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
	"dubgauge/library/madeup"
	"dubgauge/library/tags"
	"dubgauge/library/track"
)

// toTheBit compares records whose numbers are the same to the bit.
var toTheBit = cmp.Options{
	cmp.Comparer(func(a, b detect.Value) bool {
		return math.Float64bits(float64(a)) == math.Float64bits(float64(b)) || !a.Exists() && !b.Exists()
	}),
}

// agrees tells whether a line was read without encoding/json, and whether it was known
// how that writes it; and fails where that gives or writes another record.
func agrees(t *testing.T, line string) (exact, ok bool) {
	t.Helper()
	got, want := track.Record{Measurement: detect.Empty()}, track.Record{Measurement: detect.Empty()}
	tail, ok := readCanonical([]byte(line), &got)
	if !ok {
		return false, false
	}
	if err := json.Unmarshal([]byte(line), &want); err != nil {
		t.Fatalf("%s\nis read, but is no JSON: %v", line, err)
	}
	if d := cmp.Diff(want, got, toTheBit); d != "" {
		t.Errorf("%s\nas JSON (-), read (+):\n%s", line, d)
	}
	text, err := json.Marshal(&want)
	if err != nil {
		t.Fatal(err)
	}
	if short := track.StoredHead + want.Path + `"` + string(tail); tail != nil && string(text) != short {
		t.Errorf("%s\nis written %s\nand not %s", line, text, short)
	}
	return tail != nil, true
}

// full is a record in which no field is empty.
func full(t testing.TB) track.Record {
	t.Helper()
	r := track.Record{Measurement: detect.Empty()}
	if err := json.Unmarshal([]byte(madeup.RecordLine(t, "Dubs/a.wav", 7)), &r); err != nil {
		t.Fatal(err)
	}
	bpm, kbps := 126.5, 320
	r.Tags.BPM, r.Tags.Sources = &bpm, []tags.Source{{Form: "ID3v2", Title: "one"}, {Form: "APEv2", Year: 2020}}
	r.Measurement.File.BitrateKbps = &kbps
	r.Faults = []detect.Fault{{Kind: "dc_offset", Detail: "some", AtS: detect.None}, {Kind: "clicks", Detail: "more", AtS: 1.25}}
	r.Measurement.Error = &detect.Problem{Kind: "damaged", Detail: "no frame"}
	r.Measurement.Edges = &detect.Edges{Start: detect.Edge{FromS: 0.5, ToS: 60.5, LUFS: -11.25, SubDB: -3, BassDB: 1.5, Beat: true},
		End: detect.Edge{FromS: 240, ToS: 300, LUFS: -12, SubDB: detect.None, BassDB: detect.None}}
	r.Limiting = &detect.Limiting{OverDB: detect.Values{1, 2}, LossLU: detect.Values{0.1, 0.25}, P95DB: detect.Values{0, 1.5},
		Over2: detect.Values{0, 0.125}, AtS: detect.Values{61, 62}, FlatShare: 0.004}
	return r
}

func lineOf(t testing.TB, r track.Record) string {
	t.Helper()
	b, err := json.Marshal(&r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestCanonicalRecords: what this program writes is read without encoding/json, whatever
// it holds.
func TestCanonicalRecords(t *testing.T) {
	for name, change := range map[string]func(r *track.Record){
		"full":           func(*track.Record) {},
		"nothing":        func(r *track.Record) { *r = track.Record{Path: "x", Measurement: detect.Empty()} },
		"no key":         func(r *track.Record) { r.Measurement.Key = nil },
		"no width":       func(r *track.Record) { r.Width, r.Kick, r.Spectrum.MidDB, r.Spectrum.SideDB = nil, nil, nil, nil },
		"in the key":     func(r *track.Record) { in := true; r.Kick.SubInKey = &in },
		"not in the key": func(r *track.Record) { in := false; r.Kick.SubInKey = &in },
		"no error":       func(r *track.Record) { r.Measurement.Error = nil },
		"no limiting":    func(r *track.Record) { r.Limiting = nil },
		"no fingerprint": func(r *track.Record) { r.Fingerprint = "" },
		"letters":        func(r *track.Record) { r.Tags.Title = "Café 夜" },
		"one source":     func(r *track.Record) { r.Tags.Sources = r.Tags.Sources[:1] },
		"zero":           func(r *track.Record) { r.Loudness.RangeLU, r.LowEnd.LowDB = 0, detect.Value(math.Copysign(0, -1)) },
		"small":          func(r *track.Record) { r.LowEnd.LowDB = -0.0001 },
		"large":          func(r *track.Record) { r.Measurement.File.SizeBytes, r.LowEnd.LowDB = 999_999_999_999_999, 1e9 },
	} {
		r := full(t)
		change(&r)
		if exact, ok := agrees(t, lineOf(t, r)); !ok || !exact {
			t.Errorf("%s: read %v, exact %v: %s", name, ok, exact, lineOf(t, r))
		}
	}
}

// TestRecordsThatAreNotCanonical: everything else is refused, or not called exact.
func TestRecordsThatAreNotCanonical(t *testing.T) {
	line := lineOf(t, full(t))
	for _, c := range [][2]string{
		{`"range_lu":`, `"range_lu": `}, {`"path":`, `"Path":`}, {`,"year":2020,`, `,`}, {`"year":2020,`, `"year":2020,"new":1,`}, {`,"album":"Some Album"`, ``},
		{`"low_db":`, `"low_db":-0,"x":`}, {`"at_s":1.25`, `"at_s":1.250`}, {`"at_s":1.25`, `"at_s":01.25`}, {`"at_s":1.25`, `"at_s":-0`},
		{`"at_s":1.25`, `"at_s":1.25000000000001`}, {`"at_s":1.25`, `"at_s":1.12345`}, {`"at_s":1.25`, `"at_s":1e2`}, {`"at_s":1.25`, `"at_s":.5`},
		{`"at_s":1.25`, `"at_s":1.`}, {`"at_s":1.25`, `"at_s":""`}, {`"at_s":1.25`, `"at_s":1234567890123456`}, {`"bpm":126.5,`, `"bpm":126.1234567,`},
		{`"title":"one"`, `"title":""`}, {`"title":"one"`, `"title":"\u006fne"`}, {`"title":"one"`, "\"title\":\"o\x00ne\""},
		{`"title":"one"`, "\"title\":\"\xff\""}, {`"title":"one"`, "\"title\":\"\u2028\""}, {`"title":"one"`, `"title":"a & b"`},
		{`"year":2020,`, `"year":2020.5,`}, {`"faults":[`, `"faults":[,`}, {`"faults":[`, `"faults":null,"x":[`}, {`"pattern":[`, `"pattern":null,"x":[`},
		{`"channels":2`, `"channels":null`}, {`"mode":"minor"`, `"mode":null`}, {`"sources":[`, `"sources":[],"x":[`}, {`}}`, `}} `}, {`"sub_in_key":null`, `"sub_in_key":1`},
	} {
		changed := strings.Replace(line, c[0], c[1], 1)
		if changed == line {
			t.Fatalf("%q is not in %s", c[0], line)
		}
		if exact, _ := agrees(t, changed); exact {
			t.Errorf("%q for %q is called exact", c[1], c[0])
		}
	}
	for end := range len(line) {
		if _, ok := agrees(t, line[:end]); ok {
			t.Fatalf("%s is read", line[:end])
		}
	}
}

// TestRecordsOfOlderVersions lack what was not measured then.
func TestRecordsOfOlderVersions(t *testing.T) {
	line := lineOf(t, full(t))
	for _, gone := range []string{`,"change_at_s":null,"change_from_bpm":null,"change_to_bpm":null`, `,"at_s":1.25`, `,"at_s":null`, `,"agreement":0`, `,"flat_share":0.004`, `,"range_lu":5.5639`} {
		older := strings.Replace(line, gone, "", 1)
		if exact, ok := agrees(t, older); older == line || !exact || !ok {
			t.Errorf("without %s: read %v, exact %v", gone, ok, exact)
		}
	}
	if _, ok := agrees(t, strings.Replace(line, `"integrated_lufs":-9.0911,`, "", 1)); ok {
		t.Error("the first field of an object may be missing")
	}
}

// TestFormOfRecords: every field of a record has a form, so that the quick way is taken,
// and types of other kinds have none.
func TestFormOfRecords(t *testing.T) {
	r, tail, err := parseRecord([]byte(lineOf(t, full(t)) + "\r\n"))
	if err != nil || tail == nil {
		t.Fatalf("record %+v, error %v: read the long way", r, err)
	}
	loud := full(t)
	loud.Tags.Comment = "two  spaces, one\tline"
	if r, tail, err := parseRecord([]byte(lineOf(t, loud))); err != nil || tail != nil || r.Tags.Comment != "two  spaces, one line" {
		t.Errorf("comment %q, tail %q, error %v", r.Tags.Comment, tail, err)
	}
	spaced := full(t)
	spaced.Tags.Album = " an album "
	if r, tail, err := parseRecord([]byte(lineOf(t, spaced))); err != nil || tail != nil || r.Tags.Album != "an album" {
		t.Errorf("album %q, tail %q, error %v", r.Tags.Album, tail, err)
	}
}

// FuzzCanonical: what is read without encoding/json is read as that does it.
func FuzzCanonical(f *testing.F) {
	f.Add(lineOf(f, full(f)))
	f.Add(lineOf(f, track.Record{Path: "x", Measurement: detect.Empty()}))
	f.Fuzz(func(t *testing.T, line string) { agrees(t, line) })
}

func BenchmarkParseRecord(b *testing.B) {
	line := []byte(madeup.RecordLine(b, "Dubs/a.wav", 7))
	for b.Loop() {
		if _, tail, err := parseRecord(line); err != nil || tail == nil {
			b.Fatal(tail, err)
		}
	}
}
