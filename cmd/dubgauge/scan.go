package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"dubgauge/export/words"
	"dubgauge/library"
)

// scanFlags are the options of scan.
type scanFlags struct {
	released, unreleased []string
	from                 string
	workers              int
	again, verify, json  bool
}

func (a *app) scanCommand() *cobra.Command {
	var f scanFlags
	cmd := &cobra.Command{
		Use:   "scan DIR...",
		Short: "Measure what is new in DIR and say what stands out",
		Long: `Measures every track below DIR that is new or has changed, stores it, and says
what stands out. Stop it with Ctrl-C at any time: the next scan goes on from there.

Patterns are relative to DIR, ** crosses folders. They overrule what tags and
names say, and are remembered for DIR until they are given anew.

Exit status: 0 all tracks ready or to check, 3 a track is held back or
unreadable, 1 the scan could not be done, 2 wrong call.`,
		Example: `  dubgauge scan /media/STICK
  dubgauge scan /media/STICK --released 'Records/**' --unreleased 'Dubs/**'
  dubgauge measure *.wav > records.jsonl && dubgauge scan --from records.jsonl`,
		RunE: func(cmd *cobra.Command, args []string) error {
			db, err := a.open(cmd.Context())
			if err != nil {
				return err
			}
			defer db.Close()
			if f.from != "" {
				return a.takeIn(cmd.Context(), db, f, args)
			}
			measuringMemory()
			return a.scan(cmd.Context(), db, args, f)
		},
		Args: func(cmd *cobra.Command, args []string) error {
			if f.from == "" && len(args) == 0 {
				return fmt.Errorf("scan needs the folder of your tracks: dubgauge scan DIR")
			}
			if f.from != "" && len(args) > 1 {
				return fmt.Errorf("scan --from takes one DIR at most: the folder that the paths in the records are relative to")
			}
			return nil
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&f.released, "released", nil, "tracks that match `GLOB` are released (repeat for more)")
	fl.StringArrayVar(&f.unreleased, "unreleased", nil, "tracks that match `GLOB` are unreleased (repeat for more)")
	fl.StringVar(&f.from, "from", "", "take in the records of \"dubgauge measure\" from `FILE` (- is standard input)")
	fl.IntVar(&f.workers, "workers", 0, "tracks measured at once (default: one a core)")
	fl.BoolVar(&f.verify, "verify", false, "compare each decoded FLAC file with the checksum in it")
	fl.BoolVar(&f.again, "again", false, "measure every track anew, changed or not")
	fl.BoolVar(&f.json, "json", false, "print the summary as JSON")
	for _, measuring := range []string{"workers", "verify", "again"} { // there is nothing to measure in records
		cmd.MarkFlagsMutuallyExclusive("from", measuring)
	}
	return cmd
}

// scan runs a scan, shows its progress, and prints the summary.
func (a *app) scan(ctx context.Context, db *library.DB, dirs []string, f scanFlags) error {
	progress := a.newProgress()
	report, err := library.Scan(ctx, db, dirs, library.ScanOptions{
		Workers: f.workers, Released: f.released, Unreleased: f.unreleased, Again: f.again, Verify: f.verify, Progress: progress.show,
	})
	progress.done()
	a.problems(report)
	if err != nil {
		return err
	}
	leanMemory()
	return a.summarise(ctx, db, report, f)
}

// takeIn imports records that were measured elsewhere.
func (a *app) takeIn(ctx context.Context, db *library.DB, f scanFlags, args []string) error {
	root := "."
	if len(args) == 1 {
		root = args[0]
	}
	root, err := filepath.Abs(root)
	if err != nil {
		return err
	}
	in := a.in
	if f.from != "-" {
		file, err := os.Open(f.from)
		if err != nil {
			return err
		}
		defer file.Close()
		in = file
	}
	if err := db.SetPatterns(ctx, root, f.released, f.unreleased); err != nil {
		return err
	}
	report, err := library.ImportRecords(ctx, db, root, in)
	a.problems(report)
	if err != nil {
		return err
	}
	leanMemory()
	return a.summarise(ctx, db, report, f)
}

// problems says what was in the way of a scan.
func (a *app) problems(r library.Report) {
	for _, p := range r.Problems {
		a.say("%s: %s", words.OneLine(p.Path), words.OneLine(p.Detail))
	}
}

// summarise prints the summary of the roots that were scanned and sets the exit
// status.
func (a *app) summarise(ctx context.Context, db *library.DB, r library.Report, f scanFlags) error {
	s, err := newSummary(ctx, db, r)
	if err != nil {
		return err
	}
	s.takenIn = f.from != ""
	a.unmatched("--released", f.released, s)
	a.unmatched("--unreleased", f.unreleased, s)
	if f.json {
		err = writeJSON(a.out, s)
	} else {
		a.printSummary(s)
	}
	if err == nil && s.heldBack() > 0 {
		return errHeldBack
	}
	return err
}

// unmatched says which patterns of a scan are those of no track.
func (a *app) unmatched(flag string, patterns []string, s *summary) {
	clean, _ := library.CleanPatterns(patterns) // the scan has refused malformed ones
	for _, p := range clean {
		if !s.patterns[p] {
			a.say("%s %s matches no track: patterns are relative to the folder that is scanned, and ** crosses folders.", flag, words.OneLine(p))
		}
	}
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
