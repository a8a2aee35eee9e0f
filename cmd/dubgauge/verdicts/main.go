// Command verdicts is the bench for verdicts: it makes masters of nine genres,
// clean and with planted defects, measures each once, judges each against many
// groups of references that it is not part of, and prints which shares are
// flagged. See DEVELOPERS.md for how to run it.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"sync"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stdout, os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, "verdicts:", err)
		os.Exit(1)
	}
}

// options of a run.
type options struct {
	material
	cache          cache
	workers        int
	judge          string
	times          int
	measureOnly    bool
	alarms, spread bool
	limit, more    bool
	prior, peaks   bool
	measured       string // file of masters of other makers
}

func parse(args []string, talk io.Writer) (o options, err error) {
	f := flag.NewFlagSet("verdicts", flag.ContinueOnError)
	f.SetOutput(talk)
	f.StringVar(&o.cache.dir, "cache", os.Getenv("DUBGAUGE_VERDICTS"), "folder of measurements (default $DUBGAUGE_VERDICTS)")
	f.BoolVar(&o.cache.fresh, "fresh", false, "measure again what the folder has")
	f.BoolVar(&o.cache.only, "cached", false, "leave out what has not been measured yet")
	f.IntVar(&o.seeds, "seeds", 52, "songs of each genre")
	f.IntVar(&o.defects, "defects", 4, "of these, so many get every defect")
	f.StringVar(&o.material.groups, "planted", "", "only defects of these groups: level, spectrum, time; empty is all")
	f.IntVar(&o.looks, "looks", 20, "seeds of each look-alike")
	f.IntVar(&o.workers, "workers", 2, "songs made at a time")
	f.StringVar(&o.material.half, "half", "show", "half of the material: fit (even seeds), show (odd seeds) or all")
	f.StringVar(&o.judge, "judge", "library", "judge to try")
	f.IntVar(&o.times, "groups", 4, "groups of references of each kind and size, for each track")
	f.BoolVar(&o.measureOnly, "measure", false, "measure and stop")
	f.BoolVar(&o.alarms, "alarms", false, "list the clean tracks that are flagged")
	f.BoolVar(&o.spread, "spread", false, "print the spread of clean masters by third octave and stop")
	f.BoolVar(&o.limit, "limit", false, "print what an ideal observer could find of each defect and stop")
	f.BoolVar(&o.prior, "prior", false, "print how masters of one kind differ, as the judge holds before it has references, and stop")
	f.BoolVar(&o.peaks, "peaks", false, "print what the defects leave of the peaks and stop")
	f.BoolVar(&o.more, "more", false, "spoil the other songs too, in their third octaves")
	f.StringVar(&o.measured, "measured", "", "judge clean masters of other makers, as dubgauge measure writes them, in place of the bench's; one kind a genre of their tags")
	folders := f.String("music", os.Getenv("DUBGAUGE_MUSIC"), "folders of open music, comma-separated (default $DUBGAUGE_MUSIC)")
	if err := f.Parse(args); err != nil {
		return o, err
	}
	if o.cache.dir == "" && o.measured == "" {
		return o, fmt.Errorf("no folder for measurements: give -cache or set DUBGAUGE_VERDICTS")
	}
	if judges[o.judge] == nil {
		return o, fmt.Errorf("no judge is called %q", o.judge)
	}
	if *folders != "" {
		o.pieces = findPieces(strings.Split(*folders, ","))
	}
	if checks := os.Getenv("DUBGAUGE_CHECKS"); checks != "" {
		o.pieces = append(findPieces([]string{filepath.Join(checks, "music")}), o.pieces...)
	}
	if o.measured != "" {
		return o, nil
	}
	return o, os.MkdirAll(o.cache.dir, 0o755)
}

func run(ctx context.Context, args []string, out, talk io.Writer) error {
	o, err := parse(args, talk)
	if err != nil {
		return err
	}
	b, err := o.bench(ctx, talk)
	if err != nil || o.measureOnly {
		return err
	}
	if o.more {
		fmt.Fprintf(out, "%d songs are spoilt in their third octaves\n", b.plant())
	}
	if o.spread {
		printSpread(out, b.songs)
		return nil
	}
	if o.prior {
		printPrior(out, b)
		return nil
	}
	if o.peaks {
		printPeaks(out, b)
		return nil
	}
	if o.limit {
		printLimit(out, b)
		return nil
	}
	c := &counter{bench: b, judge: judges[o.judge], times: o.times}
	c.run()
	fmt.Fprintf(out, "half: %s, judge: %s\n", o.half, o.judge)
	c.print(out)
	if o.alarms {
		fmt.Fprintln(out)
		c.printAlarms(out)
	}
	return nil
}

// bench of what is made and measured, or of what others made.
func (o *options) bench(ctx context.Context, talk io.Writer) (*bench, error) {
	if o.measured != "" {
		return readMeasured(o.measured, o.half)
	}
	records, err := o.all(ctx, o.cache, o.workers, progress(talk, len(o.songs())))
	if err != nil {
		return nil, err
	}
	return arrange(records, o.half), nil
}

// progress reports songs that had to be measured.
func progress(talk io.Writer, songs int) func(Spec, int) {
	var mu sync.Mutex
	n := 0
	return func(s Spec, measured int) {
		mu.Lock()
		defer mu.Unlock()
		n++
		if measured > 0 {
			fmt.Fprintf(talk, "%d of %d: %s, %d measured\n", n, songs, s, measured)
		}
	}
}
