package main

import (
	"context"

	"github.com/spf13/cobra"

	"dubgauge/export/words"
	"dubgauge/library"
)

// markFlags are the options of mark.
type markFlags struct{ released, unreleased, reference, ignore, clear bool }

func (a *app) markCommand() *cobra.Command {
	var f markFlags
	cmd := &cobra.Command{
		Use:   "mark TRACK... --released|--unreleased|--reference|--ignore|--clear",
		Short: "Say what you know of a track; it overrules tags and names",
		Long: `Marks tracks. A mark overrules what tags and names say, and patterns too.

Once any track is marked --reference, the references are those tracks only: name
the records that are known to sound right on any system. --ignore leaves a track
out of verdicts, lists and exports. --clear takes all marks back.`,
		Example: `  dubgauge mark '#12' --unreleased
  dubgauge mark "Second Deck" "Ballast" --reference
  dubgauge mark '#12' --clear`,
		Args:              needs(1, -1, "mark needs tracks: dubgauge mark TRACK... --released (or another mark)"),
		ValidArgsFunction: a.completeTracks,
	}
	fl := cmd.Flags()
	fl.BoolVar(&f.released, "released", false, "the track came out: it may serve as a reference")
	fl.BoolVar(&f.unreleased, "unreleased", false, "the track never came out")
	fl.BoolVar(&f.reference, "reference", false, "the track is a reference; named ones replace all others")
	fl.BoolVar(&f.ignore, "ignore", false, "leave the track out")
	fl.BoolVar(&f.clear, "clear", false, "take all marks back")
	cmd.MarkFlagsOneRequired("released", "unreleased", "reference", "ignore", "clear")
	cmd.MarkFlagsMutuallyExclusive("released", "unreleased", "clear")
	cmd.MarkFlagsMutuallyExclusive("reference", "ignore", "clear")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error { return a.mark(ctx, db, args, f) })
	}
	return cmd
}

// mark marks all tracks or, when one of them is not found, none.
func (a *app) mark(ctx context.Context, db *library.DB, queries []string, f markFlags) error {
	ids := make([]int64, len(queries))
	for i, q := range queries {
		t, err := find(ctx, db, q)
		if err != nil {
			return err
		}
		ids[i] = t.ID
	}
	if _, err := db.SetMarks(ctx, ids, f.change); err != nil {
		return err
	}
	marked, err := db.Unjudged(ctx, ids)
	for _, id := range ids { // as they were asked for
		for i := range marked {
			if t := &marked[i]; t.ID == id {
				a.print("#%d  %s: %s", t.ID, words.OneLine(t.Path), words.Marked(t))
			}
		}
	}
	return err
}

func (f markFlags) change(m library.Marks) library.Marks {
	switch {
	case f.clear:
		return library.Marks{}
	case f.released:
		m.Status = library.Released
	case f.unreleased:
		m.Status = library.Unreleased
	}
	m.Reference = m.Reference || f.reference
	m.Ignore = m.Ignore || f.ignore
	return m
}
