package main

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dubgauge/cmd/dubgauge/demo"
	"dubgauge/detect/standout"
)

// TestDemo makes the demo library, scans it with the real program, and holds every
// finding against what was planted: nothing missing, nothing more. Then the page scans it anew.
func TestDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("makes and scans a whole library; run without -short")
	}
	dir := t.TempDir()
	var out, talk bytes.Buffer
	if status := run(context.Background(), []string{"demo", dir}, nil, &out, &talk); status != exitOK {
		t.Fatalf("demo ended with %d:\n%s%s", status, &out, &talk)
	}
	found := listed(t, filepath.Join(dir, "demo.db"))
	for _, want := range demo.Tracks() {
		got, ok := found[want.Path]
		if !ok {
			t.Errorf("%s is not in the list", want.Path)
			continue
		}
		var reasons []string
		if want.Reason != "" {
			reasons = []string{want.Reason}
		}
		if !slices.Equal(got.Reasons, reasons) {
			t.Errorf("%s: reasons %q, planted %q (%s)\n%s", want.Path, got.Reasons, want.Reason, want.Planted, strings.Join(got.Notes, "\n"))
		}
		if ready := got.Verdict == standout.Ready; ready != (want.Reason == "" || want.Reason == "unlike") {
			t.Errorf("%s: verdict %s, planted %q", want.Path, got.Verdict, want.Reason)
		}
		if string(got.Status) != want.Status {
			t.Errorf("%s: %s, want %s (%v)", want.Path, got.Status, want.Status, got.Evidence)
		}
		// Some are of one style, tempo and key over one loop of four bars: different tunes.
		if got.Versions != nil {
			t.Errorf("%s: versions %+v", want.Path, got.Versions.Tracks)
		}
		// The tempo of synthesised music is exact; the issue asks for 0.05 BPM.
		if bpm := float64(got.Measurement.Tempo.BPM); !(bpm > want.BPM-0.05 && bpm < want.BPM+0.05) {
			t.Errorf("%s: %v BPM, want %v", want.Path, bpm, want.BPM)
		}
	}
	if len(found) != len(demo.Tracks()) {
		t.Errorf("%d tracks listed, want %d", len(found), len(demo.Tracks()))
	}
	checkDemoOrder(t, dir)
	t.Run("in the page", func(t *testing.T) { serveScans(t, filepath.Join(dir, "stick")) })
	for _, part := range []string{dir, "Worst first:", "and 1 more, in the list", "dubgauge --db", "Start low"} {
		if !strings.Contains(out.String(), part) {
			t.Errorf("the summary lacks %q:\n%s", part, &out)
		}
	}
}

// checkDemoOrder holds what is found in the steps of the demo's playlist against what was
// planted there, and the story against the size of a screen.
func checkDemoOrder(t *testing.T, dir string) {
	list, db := filepath.Join(dir, "stick", demo.ListName), filepath.Join(dir, "demo.db")
	var out, talk bytes.Buffer
	if status := run(context.Background(), []string{"order", list, "--db", db, "--json"}, nil, &out, &talk); status != exitOK || talk.Len() > 0 {
		t.Fatalf("order ended with %d:\n%s", status, &talk)
	}
	var got orderRecord
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if !got.Set.Levelling.Kept || len(got.Places) != len(demo.Order()) {
		t.Errorf("%d places, %+v", len(got.Places), got.Set.Levelling)
	}
	for i, stop := range demo.Order() {
		if got.Places[i].Path != stop.Path || got.Places[i].Found != "path" || !got.Set.Tracks[i].Ends || !got.Set.Tracks[i].Start.Beat {
			t.Errorf("place %d: %+v, want %s", i+1, got.Places[i], stop.Path)
		}
		var codes []string
		if i > 0 {
			for _, f := range got.Set.Steps[i-1].Flags {
				codes = append(codes, f.Code)
			}
		}
		if !slices.Equal(codes, stop.Planted) {
			t.Errorf("%s: %q stands out, planted %q", stop.Path, codes, stop.Planted)
		}
	}
	out.Reset()
	if status := run(context.Background(), []string{"order", list, "--db", db}, nil, &out, &talk); status != exitOK {
		t.Fatalf("order ended with %d:\n%s", status, &talk)
	}
	const screen = 40 // lines
	if n := strings.Count(out.String(), "\n"); n > screen {
		t.Errorf("%d lines:\n%s", n, &out)
	}
}
