package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestInterruptedRender stops while copies are made: it says how many are whole, and
// nothing else is left in the folder.
func TestInterruptedRender(t *testing.T) {
	dir := t.TempDir()
	stick, db, to := filepath.Join(dir, "stick"), filepath.Join(dir, "test.db"), filepath.Join(dir, "copies")
	if err := os.Mkdir(stick, 0o755); err != nil {
		t.Fatal(err)
	}
	for name, seconds := range map[string]float64{"a.wav": 3, "b.wav": 240} {
		if err := writeTone(filepath.Join(stick, name), -9, seconds, 8000, 1); err != nil {
			t.Fatal(err)
		}
	}
	var out, talk bytes.Buffer
	if status := run(t.Context(), []string{"--db", db, "scan", stick}, nil, &out, &talk); status != exitOK && status != exitHeldBack {
		t.Fatalf("scan: %d, %s", status, &talk)
	}
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	go func() {
		for ctx.Err() == nil { // once the second copy is on its way
			if found, _ := filepath.Glob(filepath.Join(to, "*.json")); len(found) == 1 {
				if going, _ := filepath.Glob(filepath.Join(to, ".dubgauge-*")); len(going) == 1 {
					cancel()
				}
			}
			time.Sleep(time.Millisecond)
		}
	}()
	talk.Reset()
	status := run(ctx, []string{"--db", db, "render", "a.wav", "b.wav", "--to", to}, nil, &out, &talk)
	if status != exitError || !strings.Contains(talk.String(), "stopped: 1 copy was made and whole") {
		t.Errorf("status %d: %s", status, &talk)
	}
	entries, err := os.ReadDir(to)
	if err != nil || len(entries) != 2 {
		t.Errorf("%v is left, error %v", entries, err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), "a [trim ") {
			t.Errorf("%s is left", e.Name())
		}
	}
}
