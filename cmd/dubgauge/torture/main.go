//go:build unix

// Command torture does to scans what an evening does: it kills them, stops them by
// signals, runs four at once, fills the disk, pulls the stick, and copies a file in
// while they run. At the end of each, a scan that is left alone must give every track
// the figures that a scan of a fresh database gives. See .ci/torture.
package main

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/signal"
	"path/filepath"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	t := &torture{ctx: ctx}
	flag.IntVar(&t.kills, "kills", 30, "scans that are killed")
	flag.IntVar(&t.signals, "signals", 10, "scans that are stopped by each signal")
	flag.IntVar(&t.tracks, "tracks", 60, "tracks of the library")
	seed := flag.Uint64("seed", uint64(time.Now().UnixNano()), "of the moments at which things happen")
	flag.Parse()
	t.rng = rand.New(rand.NewPCG(*seed, 0))
	fmt.Println("seed", *seed)
	if err := t.run(); err != nil {
		fmt.Fprintln(os.Stderr, "torture:", err)
		os.Exit(1)
	}
}

// torture is one run.
type torture struct {
	ctx                    context.Context
	rng                    *rand.Rand
	kills, signals, tracks int
	program, music         string
	dir                    string
	clean                  map[string]string // what a scan left alone gives, by path
	long                   time.Duration     // that it took
	failed                 bool
}

func (t *torture) run() (err error) {
	if t.dir, err = os.MkdirTemp("", "dubgauge-torture-"); err != nil {
		return err
	}
	defer os.RemoveAll(t.dir)
	t.program, t.music = filepath.Join(t.dir, "dubgauge"), filepath.Join(t.dir, "stick")
	if err := t.build(); err != nil {
		return err
	}
	if err := makeMusic(t.music, t.tracks); err != nil {
		return err
	}
	start := time.Now()
	if t.clean, err = t.fresh(t.db("clean")); err != nil {
		return err
	}
	t.long = time.Since(start)
	fmt.Printf("%d tracks, a scan takes %.1f s\n", len(t.clean), t.long.Seconds())
	for _, c := range []struct {
		name string
		do   func() (string, error)
	}{
		{"killed", t.killed}, {"stopped", t.stopped}, {"four at once", t.fourAtOnce},
		{"full disk", t.fullDisk}, {"pulled stick", t.pulledStick}, {"copied in", t.copiedIn},
	} {
		said, err := c.do()
		if t.ctx.Err() != nil {
			return t.ctx.Err()
		}
		if err != nil {
			t.failed, said = true, "FAILED: "+err.Error()
		}
		fmt.Printf("%-14s%s\n", c.name, said)
	}
	if t.failed {
		return fmt.Errorf("not all as it should be")
	}
	return nil
}

// moment is some time of a scan.
func (t *torture) moment() time.Duration {
	return time.Duration(t.rng.Float64() * float64(t.long))
}
