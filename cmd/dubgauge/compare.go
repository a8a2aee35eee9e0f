package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"dubgauge/decode"
	"dubgauge/detect/compare"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

func (a *app) compareCommand() *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:   "compare A B",
		Short: "Hold two versions of a track, or a track and a record, against each other",
		Long: `Holds B against A: where the one lies in the other, what was done between them (nothing, a
gain, an equaliser, a limiter, an encoder, another mix), every figure side by side, and which
of them is nearer to its references. A and B are files, or tracks of the library by number,
path or words. Both are read anew; nothing is stored.`,
		Example: `  dubgauge compare "night bus v7.wav" "night bus v8.wav"
  dubgauge compare '#12' '#40'`,
		Args:              needs(2, 2, "compare needs two tracks: dubgauge compare A B, by file, number, path or words (in quotes)"),
		ValidArgsFunction: a.completeTracks,
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the figures as JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		ctx := cmd.Context()
		sides, group, err := a.sides(ctx, args)
		if err != nil {
			return err
		}
		if a.talk.is {
			a.say("Reading both ...")
		}
		if err := measureSides(ctx, sides[:]); err != nil {
			return err
		}
		r, err := compare.Tracks(ctx, sides[0].open(ctx), sides[1].open(ctx))
		if err != nil {
			return err
		}
		if asJSON {
			e := json.NewEncoder(a.out)
			e.SetEscapeHTML(false)
			return e.Encode(struct {
				A      library.Record  `json:"a"`
				B      library.Record  `json:"b"`
				Result compare.Result  `json:"comparison"`
				Group  *standout.Group `json:"reference,omitempty"`
			}{sides[0].Record, sides[1].Record, r, group})
		}
		a.printComparison(sides, &r, group)
		return nil
	}
	return cmd
}

// side is one of the two tracks.
type side struct {
	path string
	library.Record
}

func (s *side) open(ctx context.Context) compare.Open {
	return func() (decode.Stream, error) { return decode.Open(ctx, s.path) }
}

// sides finds the two, and the references of the first that is in the library; nil when
// neither is.
func (a *app) sides(ctx context.Context, args []string) (sides [2]*side, group *standout.Group, err error) {
	db, err := a.openExisting(ctx)
	if err == nil {
		defer db.Close()
	} else if !isFile(args[0]) || !isFile(args[1]) {
		return sides, nil, err
	}
	for i, arg := range args {
		s, t, err := a.side(ctx, db, arg)
		if err != nil {
			return sides, nil, err
		}
		if sides[i] = s; t != nil && group == nil && t.TakesPart() {
			group = &t.Reference
		}
	}
	return sides, group, nil
}

func isFile(path string) bool {
	fi, err := os.Stat(path)
	return err == nil && fi.Mode().IsRegular()
}

// side is a track of the library, or a file; the track is nil for a file that the library
// has not.
func (a *app) side(ctx context.Context, db *library.DB, arg string) (*side, *library.Track, error) {
	if isFile(arg) {
		path, err := filepath.Abs(arg)
		if err != nil {
			return nil, nil, err
		}
		if db == nil {
			return &side{path: path}, nil, nil
		}
		found, err := db.Find(ctx, path)
		if err != nil {
			return nil, nil, err
		}
		for _, t := range found {
			if t.DiskPath() == path {
				judged, err := db.TrackAs(ctx, t.ID, standout.Options{})
				return &side{path: path}, &judged, err
			}
		}
		return &side{path: path}, nil, nil
	}
	found, err := find(ctx, db, arg)
	if err != nil {
		return nil, nil, err
	}
	if found.Missing() || !isFile(found.DiskPath()) {
		return nil, nil, fmt.Errorf("%s: the file is not there; plug the stick in, or name another", words.OneLine(found.DiskPath()))
	}
	judged, err := db.TrackAs(ctx, found.ID, standout.Options{})
	return &side{path: found.DiskPath()}, &judged, err
}

// measureSides measures both at once. One that cannot be read is the end.
func measureSides(ctx context.Context, sides []*side) error {
	errs := make(chan error, len(sides))
	for _, s := range sides {
		go func() {
			r, err := library.Measure(ctx, s.path)
			r.TunePrint = "" // it says nothing to a reader
			if s.Record = r; err == nil && r.Error != nil && !r.Loudness.Loudest30sLUFS.Exists() {
				err = fmt.Errorf("%s: %s; %s", words.OneLine(s.path), r.Error.Detail, r.Error.Kind.Remedy())
			}
			errs <- err
		}()
	}
	var first error
	for range sides {
		if err := <-errs; first == nil {
			first = err
		}
	}
	return first
}
