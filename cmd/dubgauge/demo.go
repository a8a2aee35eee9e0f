package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync/atomic"

	"github.com/spf13/cobra"

	"dubgauge/cmd/dubgauge/demo"
	"dubgauge/export/words"
)

func (a *app) demoCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "demo [DIR]",
		Short: "Make a small library of synthesised music and scan it",
		Long: `Makes a library of seventeen short synthesised tracks below DIR (by default a
folder in the system's place for temporary files): nine released ones and eight
that are not, of which six have one known defect; and a playlist with four faults in
its order. Then scans it into a database of its own. Everything in it is invented.`,
		Example: `  dubgauge demo
  dubgauge demo ~/demo-stick`,
		Args: needs(0, 1, "demo takes one folder at most: dubgauge demo [DIR]"),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := filepath.Join(os.TempDir(), "dubgauge-demo")
			if len(args) == 1 {
				dir = args[0]
			}
			return a.demo(cmd.Context(), dir)
		},
	}
}

// demo builds the library, scans it and says where all lies. That tracks are
// held back is what it is for, so it is no failure.
func (a *app) demo(ctx context.Context, dir string) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	music := filepath.Join(dir, "stick")
	n := len(demo.Tracks())
	a.say("Making %d tracks in %s ...", n, words.Printable(music))
	var done atomic.Int32
	err = demo.Build(ctx, music, runtime.GOMAXPROCS(0), func() {
		if k := done.Add(1); k%6 == 0 {
			a.say("%d of %d tracks made", k, n)
		}
	})
	if err != nil {
		return err
	}
	if a.dbPath == "" {
		a.dbPath = filepath.Join(dir, "demo.db")
	}
	db, err := a.open(ctx)
	if err != nil {
		return err
	}
	defer db.Close()
	if err := a.scan(ctx, db, []string{music}, scanFlags{}); err != nil && err != errHeldBack {
		return err
	}
	a.print("\n%s", fmt.Sprintf("The music lies in %s, the database is %s.", words.Printable(music), words.Printable(db.Path())))
	a.print("Check the playlist from track to track: %s order %s", a.call(), quoted(filepath.Join(music, demo.ListName)))
	return nil
}
