//go:build unix

package scan

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/madeup"
	"dubgauge/library/store"
)

// startScan starts a child that scans; see childScan.
func startScan(t *testing.T, db, dir, log string) (*exec.Cmd, *strings.Builder) {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), "SCAN_TEST_ROLE=scan", "store.DB="+db, "DIR="+dir, "LOG="+log)
	var out strings.Builder
	cmd.Stdout, cmd.Stderr = &out, &out
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return cmd, &out
}

// begun are the tracks that children began to measure.
func begun(t *testing.T, log string) []string {
	t.Helper()
	data, err := os.ReadFile(log)
	if err != nil && !os.IsNotExist(err) {
		t.Fatal(err)
	}
	return strings.FieldsFunc(string(data), func(r rune) bool { return r == '\n' })
}

func manyFiles(t *testing.T, n int) string {
	dir := t.TempDir()
	for i := range n {
		madeup.WriteFile(t, filepath.Join(dir, fmt.Sprintf("%02d/track %03d.wav", i%7, i)), madeup.WAV(uint32(i), 400+i))
	}
	return dir
}

func checkIntegrity(t *testing.T, db *store.DB) {
	t.Helper()
	raw, err := sql.Open("sqlite", db.Path())
	if err != nil {
		t.Fatal(err)
	}
	defer raw.Close()
	var says string
	if err := raw.QueryRow(`PRAGMA integrity_check`).Scan(&says); err != nil || says != "ok" {
		t.Errorf("integrity check: %q, error %v", says, err)
	}
	if rows, err := raw.Query(`PRAGMA foreign_key_check`); err != nil || rows.Next() {
		t.Errorf("foreign keys are broken, error %v", err)
	} else {
		rows.Close()
	}
}

// TestKill kills a scan ten times at random moments: each time the database
// opens and has all that was in it, and in the end no more tracks were measured
// twice than were in flight.
func TestKill(t *testing.T) {
	const files, kills = 150, 10
	dir, tmp := manyFiles(t, files), t.TempDir()
	path, log := filepath.Join(tmp, "library.db"), filepath.Join(tmp, "log")
	music := madeup.Snapshot(t, dir)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	stored := map[int64]time.Time{}
	look := func(db *store.DB) {
		now := map[int64]time.Time{}
		for _, tr := range tracksOf(t, db, store.TrackOptions{Full: true}) {
			now[tr.ID] = tr.MeasuredAt
			if tr.Error != nil || !tr.Loudness.Loudest30sLUFS.Exists() && !tr.Peak.SamplePeakDBFS.Exists() {
				t.Errorf("%s is stored without figures: %+v", tr.Path, tr.Error)
			}
		}
		for id, at := range stored {
			if !now[id].Equal(at) {
				t.Errorf("track %d, measured %v, was lost or measured again: %v", id, at, now[id])
			}
		}
		stored = now
		checkIntegrity(t, db)
	}
	for i := range kills {
		was, more := len(begun(t, log)), 1+rng.IntN(12)
		cmd, out := startScan(t, path, dir, log)
		for deadline := time.Now().Add(20 * time.Second); len(begun(t, log)) < was+more; time.Sleep(time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("scan %d does not get on: %s", i, out)
			}
		}
		time.Sleep(time.Duration(rng.IntN(8000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		if err := cmd.Wait(); err == nil {
			t.Fatalf("scan %d was through before it was killed: %s", i, out)
		}
		db, err := store.Open(context.Background(), path)
		if err != nil {
			t.Fatalf("after kill %d: %v", i, err)
		}
		look(db)
		db.Close()
	}
	between := len(stored)
	cmd, out := startScan(t, path, dir, log)
	if err := cmd.Wait(); err != nil {
		t.Fatalf("the last scan: %v: %s", err, out)
	}
	if want := fmt.Sprintf("%d of %d measured, %d unchanged, 0 problems\n", files-between, files, between); out.String() != want {
		t.Errorf("the last scan says %q, want %q", out, want)
	}
	db, err := store.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	look(db)
	if len(stored) != files {
		t.Errorf("%d tracks in the end, want %d", len(stored), files)
	}
	if n := len(begun(t, log)); n > files+kills*childWorkers {
		t.Errorf("%d tracks were begun: more than %d and %d in flight at each of %d kills", n, files, childWorkers, kills)
	}
	if diff := cmp.Diff(music, madeup.Snapshot(t, dir)); diff != "" {
		t.Errorf("the scans changed the library:\n%s", diff)
	}
}

// TestTwoScansAtOnce: they share the work, and no track is measured twice.
func TestTwoScansAtOnce(t *testing.T) {
	const files = 150
	dir, tmp := manyFiles(t, files), t.TempDir()
	path, log := filepath.Join(tmp, "library.db"), filepath.Join(tmp, "log")
	a, outA := startScan(t, path, dir, log)
	b, outB := startScan(t, path, dir, log)
	for _, err := range []error{a.Wait(), b.Wait()} {
		if err != nil {
			t.Errorf("%v: %s, %s", err, outA, outB)
		}
	}
	times := map[string]int{}
	for _, p := range begun(t, log) {
		times[p]++
		if times[p] == 2 {
			t.Errorf("%s was measured twice", p)
		}
	}
	if len(times) != files {
		t.Errorf("%d tracks were measured, want %d: %s, %s", len(times), files, outA, outB)
	}
	db, err := store.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	checkIntegrity(t, db)
	if n := len(tracksOf(t, db, store.TrackOptions{})); n != files {
		t.Errorf("%d tracks are stored, want %d", n, files)
	}
}
