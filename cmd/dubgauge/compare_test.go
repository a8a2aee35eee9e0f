package main

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
)

// writeHits writes 14 s of drums of a seed, at a gain, behind so much silence.
func writeHits(t *testing.T, path string, seed uint64, gain float64, silence int) {
	t.Helper()
	const rate = 44100
	r := rand.New(rand.NewPCG(seed, 5))
	x := make([]float64, 9*rate)
	for at := 0; at < len(x)-rate; at += rate/8 + r.IntN(rate/8) {
		level, decay := 0.1+0.3*r.Float64(), 20+80*r.Float64()
		for i := range rate / 4 {
			s := float64(i) / rate
			x[at+i] += level * math.Exp(-decay*s) * (0.3*r.NormFloat64() + math.Sin(2*math.Pi*60*s))
		}
	}
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	e := wav.NewEncoder(f, rate, 24, 2, 1)
	b := &audio.IntBuffer{Format: &audio.Format{NumChannels: 2, SampleRate: rate}, SourceBitDepth: 24, Data: make([]int, 2*silence)}
	for _, v := range x {
		n := int(math.Round(gain * v * (1 << 22)))
		b.Data = append(b.Data, n, n)
	}
	if err := e.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
}

// compare finds what was done between two files and where, with a library and without one.
func TestCompareCommand(t *testing.T) {
	if testing.Short() {
		t.Skip("lays audio on each other seven times")
	}
	dir := t.TempDir()
	music, db := filepath.Join(dir, "music"), filepath.Join(dir, "library.db")
	if err := os.Mkdir(music, 0o700); err != nil {
		t.Fatal(err)
	}
	one, two, other := filepath.Join(music, "one v1.wav"), filepath.Join(music, "one v2.wav"), filepath.Join(dir, "other.wav")
	writeHits(t, one, 1, 1, 0)
	writeHits(t, two, 1, math.Pow(10, -3.0/20), 44100)
	writeHits(t, other, 2, 1, 0)
	call := func(want int, args ...string) (out, errs string) {
		t.Helper()
		var o, e bytes.Buffer
		if got := run(t.Context(), append([]string{"--db", db}, args...), strings.NewReader(""), &o, &e); got != want {
			t.Fatalf("%v: exit status %d, want %d\n%s%s", args, got, want, o.String(), e.String())
		}
		return o.String(), e.String()
	}
	contains := func(text string, wants ...string) {
		t.Helper()
		flat := strings.Join(strings.Fields(text), " ")
		for _, w := range wants {
			if !strings.Contains(flat, w) {
				t.Errorf("no %q in\n%s", w, text)
			}
		}
	}
	out, _ := call(exitOK, "compare", one, two)
	contains(out, "Only the gain differs: B is 3.00 dB quieter than A.", "What A begins with comes 1.000 s into B.", "Only B has its 0:00 to 0:01.", "true peak")
	if strings.Contains(out, "against") {
		t.Errorf("references without a library:\n%s", out)
	}
	out, _ = call(exitOK, "compare", "--json", two, one)
	var got struct {
		Comparison struct {
			Kind          string  `json:"kind"`
			OffsetSamples float64 `json:"offset_samples"`
			GainDB        float64 `json:"gain_db"`
		} `json:"comparison"`
		A, B struct{ Path string }
	}
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatal(err)
	}
	if c := got.Comparison; c.Kind != "gain" || c.OffsetSamples != -44100 || math.Abs(c.GainDB-3) > 0.01 || !strings.HasSuffix(got.A.Path, "v2.wav") {
		t.Errorf("%+v", got)
	}
	call(exitHeldBack, "scan", music)
	out, _ = call(exitOK, "compare", "one v2", other)
	contains(out, "Not the same music", "against")
	if strings.Contains(out, "nearer") {
		t.Errorf("near to fixed values:\n%s", out)
	}
	call(exitOK, "mark", "one v1", "--reference")
	out, _ = call(exitOK, "compare", "one v2", other)
	contains(out, "references", "B is nearer")
	out, _ = call(exitOK, "compare", other, two)
	contains(out, "A is nearer")
	out, _ = call(exitOK, "show", "one v1", "--closer")
	contains(out, "The loudest 30 s looked at closer", "by band peak to loudness", "as AAC 256")
	out, _ = call(exitOK, "show", "one v1", "--closer", "--json")
	var looked struct {
		Advice any
		Closer struct {
			Ratios struct {
				Low float64 `json:"low_lu"`
			} `json:"peak_to_loudness"`
			Copies []struct{ Encoding string }
		}
	}
	if err := json.Unmarshal([]byte(out), &looked); err != nil {
		t.Fatal(err)
	}
	if c := looked.Closer; looked.Advice == nil || !(c.Ratios.Low > 0) || len(c.Copies) != 2 || c.Copies[0].Encoding != "MP3 320 kbit/s" {
		t.Errorf("%+v", looked)
	}
	_, errs := call(exitError, "compare", "one v1", "no such")
	contains(errs, "no such track")
	if err := os.Remove(two); err != nil {
		t.Fatal(err)
	}
	_, errs = call(exitError, "compare", "one v1", "one v2.wav")
	contains(errs, "one v2.wav: the file is not there")
	call(exitUsage, "compare", one)
}
