package store

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/madeup"
)

func TestImportBadLines(t *testing.T) {
	dir := t.TempDir()
	madeup.WriteFile(t, dir+"/other size.wav", []byte("1234567"))
	if err := os.Mkdir(dir+"/folder.wav", 0o755); err != nil {
		t.Fatal(err)
	}
	with := func(field string) string { return `{"path":"x.wav",` + field + `}` }
	for _, c := range []struct{ name, line, says string }{
		{"no JSON", "hello", "not a measurement record"},
		{"a list", "[1,2]", "not a measurement record"},
		{"half", `{"path":"x.w`, "not a measurement record"},
		{"no path", `{"tags":{}}`, "no path"},
		{"up and out", `{"path":"../../etc/x.wav"}`, "does not lie in"},
		{"elsewhere", `{"path":"/nowhere/x.wav"}`, "does not lie in"},
		{"the root", `{"path":"."}`, "does not lie in"},
		{"NUL", `{"path":"a\u0000.wav"}`, "NUL"},
		{"a folder", `{"path":"folder.wav"}`, "is a folder"},
		{"another file", `{"path":"other size.wav","file":{"size_bytes":8}}`, "measure it anew"},
		{"a number as text", with(`"loudness":{"integrated_lufs":"NaN"}`), "not a measurement record"},
		{"beyond floats", with(`"loudness":{"integrated_lufs":1e999}`), "not a measurement record"},
		{"beyond sense", with(`"peak":{"true_peak_dbtp":1e300}`), "cannot be"},
		{"an end beyond sense", with(`"edges":{"end":{"bass_db":-1e10}}`), "mixed cannot be"},
		{"a start beyond sense", with(`"edges":{"start":{"from_s":1e10}}`), "mixed cannot be"},
		{"negative size", with(`"file":{"size_bytes":-1}`), "negative"},
		{"negative length", with(`"file":{"duration_s":-1}`), "negative"},
		{"measured over less than nothing", with(`"loudness":{"loudest_30s_over_s":-1}`), "negative"},
		{"lopsided sum and difference", with(`"spectrum":{"centre_hz":[20],"loudest_db":[1],"whole_db":[1],"mid_db":[1]}`), "sum and difference differ"},
		{"short sum and difference", with(`"spectrum":{"centre_hz":[20,25],"loudest_db":[1,1],"whole_db":[1,1],"mid_db":[1],"side_db":[1]}`), "sum and difference differ"},
		{"lopsided spectrum", with(`"spectrum":{"centre_hz":[20,25],"loudest_db":[1]}`), "differ in length"},
		{"unknown kind", with(`"error":{"kind":"\u001b[31m"}`), "kind is"},
		{"endless list", with(`"faults":[` + strings.Repeat(`{},`, maxList) + `{}]`), "more than"},
		{"endless line", `{"path":"` + strings.Repeat("x", maxRecordLine) + `"}`, "longer than"},
	} {
		t.Run(c.name, func(t *testing.T) {
			db := openTemp(t)
			input := madeup.RecordLine(t, "first.wav", 1) + c.line + "\n" + madeup.RecordLine(t, "last.wav", 1)
			rep, err := ImportRecords(context.Background(), db, dir, strings.NewReader(input))
			if err != nil {
				t.Fatal(err)
			}
			if len(rep.Problems) != 1 || rep.Problems[0].Path != "line 2" || !strings.Contains(rep.Problems[0].Detail, c.says) {
				t.Errorf("problems %+v, want line 2 with %q", rep.Problems, c.says)
			}
			if strings.ContainsFunc(fmt.Sprint(rep.Problems), unicode.IsControl) {
				t.Errorf("control characters in %+v", rep.Problems)
			}
			if diff := cmp.Diff([]string{"first.wav", "last.wav"}, pathsOf(tracksOf(t, db, TrackOptions{}))); diff != "" {
				t.Errorf("stored (-want +got):\n%s", diff)
			}
		})
	}
}

// TestImportBatches: more lines than are stored at once, the last without an end.
func TestImportBatches(t *testing.T) {
	db := openTemp(t)
	var b strings.Builder
	n := 2*importBatch + 1
	for i := range n {
		b.WriteString(madeup.RecordLine(t, fmt.Sprintf("%d.wav", i), 1))
	}
	rep, err := ImportRecords(context.Background(), db, t.TempDir(), strings.NewReader(strings.TrimSuffix(b.String(), "\n")))
	if err != nil || rep.Total != n || len(tracksOf(t, db, TrackOptions{})) != n {
		t.Errorf("report %+v, error %v, want %d", rep, err, n)
	}
}

// FuzzParseRecord: whatever the line, what comes out can be stored and shown, and
// comes back from its own JSON as it is.
func FuzzParseRecord(f *testing.F) {
	f.Add([]byte(madeup.RecordLine(f, "a.wav", 1)))
	f.Add([]byte(`{"path":"x","tags":{"title":"=1\u001b[31m\u202e"},"key":{"name":"\ud800"},"error":{"kind":"damaged","detail":"\n"}}`))
	f.Add([]byte(`{"path":"x","faults":null,"spectrum":null,"tempo":{"bpm":null}}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		r, tail, err := parseRecord(line)
		if err != nil {
			if !utf8.ValidString(cleanText(err.Error())) {
				t.Errorf("error %q", err)
			}
			return
		}
		for _, s := range []string{r.Tags.Title, r.Tags.Comment, r.Measurement.File.Format} {
			if !utf8.ValidString(s) || utf8.RuneCountInString(s) > maxText || strings.ContainsFunc(s, unicode.IsControl) {
				t.Errorf("text %q", s)
			}
		}
		if r.Measurement.File.DurationS < 0 || r.Faults == nil {
			t.Errorf("record %+v", r)
		}
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatalf("cannot be written: %v", err)
		}
		if short, err := recordText(r, tail); err != nil || !bytes.Equal(short, text) {
			t.Errorf("%s\nis stored as %s\nand not as %s, error %v", line, short, text, err)
		}
		again, _, err := parseRecord(text)
		if err != nil {
			t.Fatalf("%s: does not come back: %v", text, err)
		}
		text2, err := json.Marshal(again)
		if err != nil || !bytes.Equal(text, text2) {
			t.Errorf("%s\ncomes back as\n%s", text, text2)
		}
	})
}
