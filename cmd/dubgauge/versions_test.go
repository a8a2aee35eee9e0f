package main

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

// writeTune writes 40 s of chords of a seed that never repeat, from a second on, at a
// gain.
func writeTune(t *testing.T, path string, seed uint64, from, gain float64) {
	t.Helper()
	const rate = 44100
	r := rand.New(rand.NewPCG(seed, 5))
	x := make([]float64, 41*rate)
	for at := 0; at < 40*rate; at += rate / 4 {
		for range 3 {
			hz, level := 220*math.Pow(2, float64(r.IntN(36))/12), 0.03+0.1*r.Float64()
			for i := range rate {
				s := float64(i) / rate
				x[at+i] += level * math.Exp(-3*s) * math.Sin(2*math.Pi*hz*s)
			}
		}
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	e := wav.NewEncoder(f, rate, 16, 1, 1)
	b := &audio.IntBuffer{Format: &audio.Format{NumChannels: 1, SampleRate: rate}, SourceBitDepth: 16}
	for _, v := range x[int(from*rate) : 40*rate] {
		b.Data = append(b.Data, int(math.Round(gain*v*(1<<14))))
	}
	if err := e.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
}

// flat is a text on one line, without the numbers of tracks: these come in the order in
// which they were measured.
func flat(text string) string {
	return regexp.MustCompile(`(#|"id":)[0-9]+`).ReplaceAllString(strings.Join(strings.Fields(text), " "), "${1}N")
}

// TestVersionsCommand: a scan finds the versions, and they are shown, listed, in JSON, and
// change no verdict; a record that measure prints carries the print, and brings it where
// it is taken in.
func TestVersionsCommand(t *testing.T) {
	dir := t.TempDir()
	music := filepath.Join(dir, "music")
	if err := os.Mkdir(music, 0o700); err != nil {
		t.Fatal(err)
	}
	v7, v8, other := filepath.Join(music, "ferry v7.wav"), filepath.Join(music, "ferry v8.wav"), filepath.Join(music, "other.wav")
	writeTune(t, v7, 1, 0, 1)
	writeTune(t, v8, 1, 5.37, 0.5)
	writeTune(t, other, 2, 0, 1)
	now := time.Now()
	for i, path := range []string{v7, v8} {
		if err := os.Chtimes(path, now, now.Add(time.Duration(i-3)*time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
	call := func(db, in string, want int, args ...string) string {
		t.Helper()
		var o, e bytes.Buffer
		if got := run(t.Context(), append([]string{"--db", filepath.Join(dir, db)}, args...), strings.NewReader(in), &o, &e); got != want {
			t.Fatalf("%v: exit status %d, want %d\n%s%s", args, got, want, o.String(), e.String())
		}
		return o.String()
	}
	check := func(db string) {
		t.Helper()
		for _, c := range []struct{ args, want string }{
			{"show|ferry v7", "the same music as #N ferry v8.wav (0:3"},
			{"show|ferry v8", "the same music as #N ferry v7.wav (0:3"},
			{"list", "same music as #N"},
			{"list", "older version of #N"},
			{"list|--json", `"versions":{"tracks":[{"id":N,"path":"ferry v8.wav","released":false,"seconds":3`},
			{"show|ferry v7|--json", `"versions":{"tracks":[{"id":N,`},
		} {
			text := call(db, "", exitOK, strings.Split(c.args, "|")...)
			if !strings.Contains(flat(text), c.want) {
				t.Errorf("%s: no %q in\n%s", c.args, c.want, text)
			}
			if strings.Contains(text, "tune_print") {
				t.Errorf("%s prints the print", c.args)
			}
		}
		if text := call(db, "", exitOK, "show", "other"); strings.Contains(text, "same music") || strings.Contains(text, "versions") {
			t.Errorf("another tune:\n%s", text)
		}
		for _, line := range strings.Split(strings.TrimSpace(call(db, "", exitOK, "list", "--json")), "\n") {
			var x struct {
				Path    string
				Reasons []string
			}
			if err := json.Unmarshal([]byte(line), &x); err != nil || strings.Contains(strings.Join(x.Reasons, " "), "version") {
				t.Errorf("%s: %v, error %v", x.Path, x.Reasons, err)
			}
		}
	}
	call("scanned.db", "", exitHeldBack, "scan", music)
	check("scanned.db")
	text := call("scanned.db", "", exitOK, "show", "ferry v7")
	if !strings.Contains(flat(text), "by its name and time this one is older than #N ferry v8.wav") {
		t.Errorf("not older:\n%s", text)
	}
	records := call("none.db", "", exitOK, "measure", v7, v8, other)
	if n := strings.Count(records, `"tune_print":"`); n != 3 {
		t.Errorf("%d of 3 records have a print", n)
	}
	call("taken.db", records, exitHeldBack, "scan", "--from", "-", music)
	check("taken.db")
}
