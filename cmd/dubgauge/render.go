package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"dubgauge/detect/advice"
	"dubgauge/detect/standout"
	"dubgauge/export/output"
	"dubgauge/export/render"
	"dubgauge/export/words"
	"dubgauge/library"
)

// renderFlags are those of render.
type renderFlags struct {
	to, format string
	limit, yes bool
	moves      bool
	judge      func() standout.Options
}

func (a *app) renderCommand() *cobra.Command {
	var f renderFlags
	cmd := &cobra.Command{
		Use:   "render TRACK... --to DIR",
		Short: "Write copies of tracks with their trims applied",
		Long: `Writes a copy of each TRACK into DIR with its trim applied: WAV or FLAC of 24 bits,
dithered, with the track's tags, its name marked. What was done is written beside it. A
trim upwards goes as far as the peaks allow; with --limit a limiter takes what is over the
ceiling, and the gain before it is found so that the loudest 30 s reach the level of the
references. With --moves the filters that "show" advises come first, and the trim is that
of the track behind them. The tracks are only read, and no file is replaced.

` + caution,
		Example: `  dubgauge render '#12' --to copies
  dubgauge render "bootleg v7" "edit v2" --to copies --limit --format flac
  dubgauge render "own wip" --to copies --moves --limit`,
		Args:              needs(1, -1, "render needs a track: dubgauge render TRACK... --to DIR"),
		ValidArgsFunction: a.completeTracks,
	}
	f.judge = judgeFlags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&f.to, "to", "", "write into the folder `DIR`, which is made where there is none")
	fl.StringVar(&f.format, "format", "wav", "`FORMAT` of the copies: wav or flac")
	fl.BoolVar(&f.limit, "limit", false, "have a limiter take what the peaks do not allow")
	fl.BoolVar(&f.moves, "moves", false, "do first what \"show\" advises on the spectrum")
	fl.BoolVar(&f.yes, "yes", false, "write into DIR also when it lies in a scanned library")
	_ = cmd.MarkFlagRequired("to")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error { return a.render(ctx, db, f, args) })
	}
	return cmd
}

// render makes the copies, one after the other; one that cannot be made does not stop the
// others.
func (a *app) render(ctx context.Context, db *library.DB, f renderFlags, queries []string) error {
	format, err := render.ParseFormat(f.format)
	if err != nil {
		return usageError{err}
	}
	tracks, err := wanted(ctx, db, f.judge(), queries)
	if err != nil {
		return err
	}
	if err := f.folder(ctx, db); err != nil {
		return err
	}
	o := render.Options{Format: format, Limit: f.limit, Ceiling: standout.DefaultCeiling}
	if c := f.judge().Ceiling; c != nil {
		o.Ceiling = *c
	}
	a.say("%s", caution)
	failed := 0
	show := newRendering(a.newProgress(), len(tracks))
	for i := range tracks {
		t := &tracks[i]
		if f.moves {
			if o.Moves, err = moves(ctx, db, t); err != nil {
				return err
			}
			if len(o.Moves) == 0 {
				a.say("%s: no equaliser move is advised, so only the trim is applied", words.OneLine(t.Path))
			}
		}
		done, err := render.Copy(ctx, t, f.to, o, func(path string) (string, error) { return keep(ctx, db, path) }, show.seconds)
		show.next()
		switch {
		case errors.Is(err, context.Canceled):
			show.done()
			return fmt.Errorf("stopped: %s made and whole, and no part of another is left", copies(i-failed))
		case err != nil:
			failed++
			a.say("%s: %s", words.OneLine(t.Path), words.Printable(renderError(err)))
			continue
		}
		a.print("%s", words.Printable(done.Copy))
		for _, s := range done.Said {
			a.print("  %s", wrap(s, max(0, a.term.width-2), "  "))
		}
	}
	show.done()
	if failed > 0 {
		return fmt.Errorf("%s not made; the reasons stand above", copies(failed))
	}
	return nil
}

// moves are those that are advised on a track.
func moves(ctx context.Context, db *library.DB, t *library.Track) ([]advice.Move, error) {
	if !t.TakesPart() {
		return nil, nil
	}
	group, err := db.Spectra(ctx, t.Members)
	if err != nil {
		return nil, err
	}
	return t.Advice(group).Moves, nil
}

// copies counts them in a sentence.
func copies(n int) string {
	if n == 1 {
		return "1 copy was"
	}
	return fmt.Sprintf("%d copies were", n)
}

// renderError puts into words why there is no copy.
func renderError(err error) string {
	if errors.As(err, new(*render.Refusal)) || errors.As(err, new(*output.Refusal)) {
		return err.Error()
	}
	return words.Error(library.Reason(err))
}

// wanted finds the tracks that are meant, each once.
func wanted(ctx context.Context, db *library.DB, o standout.Options, queries []string) ([]library.Track, error) {
	var tracks []library.Track
	seen := map[int64]bool{}
	for _, q := range queries {
		found, err := find(ctx, db, q)
		if err != nil {
			return nil, err
		}
		if seen[found.ID] {
			continue
		}
		seen[found.ID] = true
		t, err := db.TrackAs(ctx, found.ID, o)
		if err != nil {
			return nil, err
		}
		tracks = append(tracks, t)
	}
	return tracks, nil
}

// folder makes sure that there is one to write into, and that it is not part of a library:
// the next scan would take the copies for tracks.
func (f *renderFlags) folder(ctx context.Context, db *library.DB) error {
	in, err := library.InLibrary(ctx, db, f.to)
	if err != nil {
		return err
	}
	if in && !f.yes {
		return fmt.Errorf("%s lies in a library that was scanned, which would then have the copies as tracks: choose another folder, or give --yes", f.to)
	}
	if err := os.MkdirAll(filepath.Clean(f.to), 0o755); err != nil {
		return fmt.Errorf("cannot make %s: %w", f.to, library.Reason(err))
	}
	return nil
}

// rendering shows how far the copies are.
type rendering struct {
	show  progress
	p     library.Progress
	start time.Time
	past  float64 // seconds of audio of passes that are over
	last  float64 // of the pass that goes on
}

func newRendering(show progress, total int) *rendering {
	return &rendering{show: show, start: time.Now(), p: library.Progress{Phase: library.Measuring, Total: total, Left: -1}}
}

// seconds takes how far a pass over a track is; a smaller figure begins the next pass.
func (r *rendering) seconds(s float64) {
	if s < r.last {
		r.past += r.last
	}
	r.last = s
	r.p.AudioSeconds, r.p.Elapsed = r.past+s, time.Since(r.start)
	r.show.show(r.p)
}

// next begins the next track.
func (r *rendering) next() {
	r.past, r.last = r.past+r.last, 0
	r.p.Done++
	if r.p.Done > 0 {
		r.p.Left = time.Since(r.start) / time.Duration(r.p.Done) * time.Duration(r.p.Total-r.p.Done)
	}
	r.show.show(r.p)
}

func (r *rendering) done() { r.show.done() }
