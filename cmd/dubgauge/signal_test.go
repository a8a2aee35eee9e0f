//go:build unix

package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"dubgauge/export/output"
)

// records writes a file of n measurement records.
func records(t *testing.T, path string, n int) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for i := range n {
		fmt.Fprintf(f, `{"path":"House/track %05d.wav","file":{"format":"wav","sample_rate_hz":44100,"channels":2,"duration_s":300},`+
			`"tags":{"title":"Some Title %d","isrc":"QZABC2600001","label":"Invented Records"},`+
			`"loudness":{"integrated_lufs":%.2f,"loudest_30s_lufs":%.2f},"peak":{"true_peak_dbtp":-0.3},`+
			`"low_end":{"low_db":%.2f,"sub_db":-2,"bass_db":0.5},"tempo":{"bpm":%.1f,"confidence":0.9}}`+"\n",
			i, i, -9-float64(i%17)/10, -7.5-float64(i%13)/10, 2+float64(i%7)/10, 120+float64(i%160)/10)
	}
}

// TestSignals: each signal that ends a program ends it soon, with a word, and leaves no
// temporary file and the file of before.
func TestSignals(t *testing.T) {
	if testing.Short() {
		t.Skip("stores 3000 records; run without -short")
	}
	dir := t.TempDir()
	db, lines, page := filepath.Join(dir, "library.db"), filepath.Join(dir, "records.jsonl"), filepath.Join(dir, "page.html")
	records(t, lines, 3000)
	var out, talk bytes.Buffer
	if status := run(context.Background(), []string{"--db", db, "scan", "--from", lines, dir, "--json"}, nil, &out, &talk); status == exitError || status == exitUsage {
		t.Fatalf("status %d: %s", status, &talk)
	}
	for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT} {
		for _, wait := range []time.Duration{30 * time.Millisecond, 300 * time.Millisecond, 900 * time.Millisecond} {
			if err := os.WriteFile(page, nil, 0o644); err != nil {
				t.Fatal(err)
			}
			c := exec.Command("dubgauge", "--db", db, "report", "-o", page)
			var said bytes.Buffer
			c.Stderr = &said
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(wait)
			sent := time.Now()
			if err := c.Process.Signal(signal); err != nil {
				t.Fatal(err)
			}
			_ = c.Wait()
			// A second of patience, the rest is for machines that stall while they test.
			if took := time.Since(sent); took > 6*time.Second {
				t.Errorf("%v after %v: it ended after %v", signal, wait, took)
			}
			code := c.ProcessState.ExitCode()
			switch fi, err := os.Stat(page); {
			case err != nil:
				t.Error(err)
			case code == exitOK && fi.Size() == 0, code == exitError && fi.Size() != 0:
				t.Errorf("%v after %v: status %d, %d bytes", signal, wait, code, fi.Size())
			case code == exitError && !strings.Contains(said.String(), "Stopped"):
				t.Errorf("%v after %v: it says %q", signal, wait, &said)
			case code != exitOK && code != exitError && wait > 100*time.Millisecond: // before it is up, the system ends it
				t.Errorf("%v after %v: status %d, %q", signal, wait, code, &said)
			}
			if left, _ := filepath.Glob(dir + "/.dubgauge*"); len(left) > 0 {
				t.Errorf("%v after %v leaves %q", signal, wait, left)
			}
		}
	}
}

// TestHangUpThatIsIgnored: a program started with nohup goes on.
func TestHangUpThatIsIgnored(t *testing.T) {
	if _, err := exec.LookPath("nohup"); err != nil {
		t.Skip("no nohup here")
	}
	dir := t.TempDir()
	if err := writeTone(filepath.Join(dir, "a.wav"), -3, 20, 44100, 2); err != nil {
		t.Fatal(err)
	}
	c := exec.Command("nohup", "dubgauge", "--db", filepath.Join(dir, "x.db"), "scan", dir, "--json")
	var out bytes.Buffer
	c.Stdout = &out
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	time.Sleep(200 * time.Millisecond)
	_ = c.Process.Signal(syscall.SIGHUP)
	if err := c.Wait(); err != nil && c.ProcessState.ExitCode() != exitHeldBack || !strings.Contains(out.String(), `"tracks":1`) {
		t.Errorf("it ended with %v: %s", err, &out)
	}
}

// TestStuckCommand: a command that does not look at its context is left behind after a
// moment, and its temporary file with it.
func TestStuckCommand(t *testing.T) {
	old := patience
	patience = 50 * time.Millisecond
	defer func() { patience = old }()
	ctx, cancel := context.WithCancel(context.Background())
	release := make(chan struct{})
	defer close(release)
	abandoned := false
	defer func() { abandon = output.Abandon }()
	abandon = func() { abandoned = true }
	done := make(chan error, 1)
	go func() { done <- stoppable(ctx, func() error { <-release; return nil }) }()
	cancel()
	select {
	case err := <-done:
		if err != context.Canceled || !abandoned {
			t.Errorf("error %v, abandoned %v", err, abandoned)
		}
	case <-time.After(10 * time.Second):
		t.Error("it is waited for")
	}
}
