package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"dubgauge/library"
)

// TestInterruptedScanGoesOn stops a scan as Ctrl-C does, in the middle, and
// scans again: nothing that was measured is measured twice.
func TestInterruptedScanGoesOn(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a process cannot be sent an interrupt there")
	}
	if testing.Short() {
		t.Skip("measures minutes of audio; run without -short")
	}
	const tracks = 16
	dir := t.TempDir()
	stick, db := filepath.Join(dir, "stick"), filepath.Join(dir, "test.db")
	if err := os.Mkdir(stick, 0o755); err != nil {
		t.Fatal(err)
	}
	for i := range tracks {
		if err := writeTone(filepath.Join(stick, fmt.Sprintf("%02d.wav", i)), -float64(i)/10, 40, 16000, 1); err != nil {
			t.Fatal(err)
		}
	}
	scan := exec.Command("dubgauge", "--db", db, "scan", stick, "--workers", "1")
	var talk bytes.Buffer
	scan.Stderr = &talk
	if err := scan.Start(); err != nil {
		t.Fatal(err)
	}
	waitForTracks(t, db)
	if err := scan.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	err := scan.Wait()
	if code := scan.ProcessState.ExitCode(); code != exitError {
		t.Fatalf("the interrupted scan ended with %d (%v): %s", code, err, &talk)
	}
	if !strings.Contains(talk.String(), "goes on from there") {
		t.Errorf("the interrupted scan says %q", &talk)
	}
	kept := len(listed(t, db))
	if kept == 0 || kept == tracks {
		t.Fatalf("%d of %d tracks were kept: the interrupt did not come in the middle", kept, tracks)
	}
	var out, again bytes.Buffer
	run(context.Background(), []string{"--db", db, "scan", stick, "--json"}, nil, &out, &again)
	var s summary
	if err := json.Unmarshal(out.Bytes(), &s); err != nil {
		t.Fatalf("%v: %s%s", err, &out, &again)
	}
	if s.Report.Unchanged != kept || s.Report.Measured != tracks-kept {
		t.Errorf("the next scan measured %d and left %d, want %d and %d", s.Report.Measured, s.Report.Unchanged, tracks-kept, kept)
	}
}

// waitForTracks returns once a scan has stored its first track.
func waitForTracks(t *testing.T, db string) {
	t.Helper()
	for range 600 {
		time.Sleep(50 * time.Millisecond)
		if _, err := os.Stat(db); err != nil {
			continue
		}
		var out, talk bytes.Buffer
		if run(context.Background(), []string{"--db", db, "list", "--json"}, nil, &out, &talk) == exitOK && out.Len() > 0 {
			return
		}
	}
	t.Fatal("no track was stored within half a minute")
}

// listed reads the tracks of a database through list --json.
func listed(t *testing.T, db string) map[string]library.Track {
	t.Helper()
	var out, talk bytes.Buffer
	if status := run(context.Background(), []string{"--db", db, "list", "--json"}, nil, &out, &talk); status != exitOK {
		t.Fatalf("list ended with %d: %s", status, &talk)
	}
	tracks := map[string]library.Track{}
	d := json.NewDecoder(&out)
	for d.More() {
		var tr library.Track
		if err := d.Decode(&tr); err != nil {
			t.Fatal(err)
		}
		tracks[tr.Path] = tr
	}
	return tracks
}
