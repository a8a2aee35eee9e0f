package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

// orderFlags are the options of order.
type orderFlags struct {
	setFlags
	listFlags
	placeFlags
	folder  string
	suggest bool
	out     outputFlags
}

func (a *app) orderCommand() *cobra.Command {
	var f orderFlags
	cmd := &cobra.Command{
		Use:   "order [LIST]",
		Short: "Check a running order from track to track, level it, or find a better one",
		Long: `Checks the steps of a set: from each track to the next, by how much level, sub, bass and
tempo change and how the keys stand to each other. What is audible and out of the ordinary
for this list is marked. The trims are one a track such that no step of level is more than
--step-level, with the least change from the single trims.

LIST is a playlist: M3U, M3U8, XSPF, or CSV with a column called path; - is standard input.
Without LIST, the tracks of the library that the options ask for. With --suggest the same
tracks are brought into a better order; up to twelve tracks, no order is better.

-o FILE writes the trim sheet in playing order (.csv), or a playlist (.m3u8, .xspf).`,
		Example: `  dubgauge order friday.m3u8
  dubgauge order friday.m3u8 --baked -o friday.csv
  dubgauge order friday.m3u8 --suggest --first gangway --tempo rise -o better.m3u8
  dubgauge order --status unreleased --folder Dubs --suggest`,
		Args: needs(0, 1, "order takes one playlist at most: dubgauge order LIST"),
	}
	f.addLimits(cmd)
	f.addLevelling(cmd)
	f.filters(cmd)
	f.placeFlags.add(cmd)
	f.out.add(cmd, "write the trim sheet in playing order (.csv) or a playlist (.m3u8, .xspf) to `FILE`")
	cmd.Flags().StringVar(&f.folder, "folder", "", "only tracks in `FOLDER` of the library")
	cmd.Flags().StringVar(&f.sort, "sort", string(words.ByName), "without LIST, "+words.SortHelp)
	cmd.Flags().BoolVar(&f.suggest, "suggest", false, "find a better order of the same tracks")
	cmd.Flags().BoolVar(&f.json, "json", false, "print everything as JSON")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		set, err := f.options()
		if err == nil {
			err = f.checkOrder(args)
		}
		if err != nil {
			return usageError{err}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			r, err := a.runningOrder(ctx, db, &f, set, args)
			if err != nil {
				return err
			}
			return a.order(ctx, db, &f, set, r)
		})
	}
	return cmd
}

// checkOrder refuses options that do not go together.
func (f *orderFlags) checkOrder(args []string) error {
	if err := f.check(); err != nil {
		return err
	}
	if _, err := words.ParseSortKey(f.sort); err != nil {
		return err
	}
	filtered := f.status != "" || f.verdict != "" || f.text != "" || f.folder != ""
	switch {
	case len(args) == 1 && filtered:
		return errors.New("a playlist says which tracks are meant: leave out --status, --verdict, --text and --folder")
	case !f.suggest && (f.any() || f.tempo != "" || f.rise != ""):
		return errors.New("--first, --last, --pin, --tempo and --level are for --suggest: add it")
	}
	return nil
}

// runningOrder is that of the playlist, or of the tracks of the library that are asked for.
func (a *app) runningOrder(ctx context.Context, db *library.DB, f *orderFlags, set setlist.Options, args []string) (*running.Order, error) {
	if len(args) == 1 {
		return a.readOrderAs(ctx, db, args[0], f.judge(), set)
	}
	tracks, err := db.Tracks(ctx, library.TrackOptions{Judge: f.judge()})
	if err != nil {
		return nil, err
	}
	sticks := a.newPlugged(false)
	key, _ := words.ParseSortKey(f.sort)
	kept := slices.DeleteFunc(words.Sorted(tracks, key), func(t *library.Track) bool { return !f.keeps(t) || !f.inFolder(t) || !sticks.in(t) })
	sticks.sayLeft()
	return running.Of("", kept, running.Options{Fill: filler(ctx, db), Set: set})
}

// inFolder tells that a track lies in the folder that is asked for.
func (f *orderFlags) inFolder(t *library.Track) bool {
	folder := strings.Trim(path.Clean(filepath.ToSlash(f.folder)), "/")
	return f.folder == "" || folder == "." || strings.HasPrefix(t.Path, folder+"/")
}

// order prints or writes an order, or a better one.
func (a *app) order(ctx context.Context, db *library.DB, f *orderFlags, set setlist.Options, r *running.Order) error {
	if r.Found() == 0 {
		if r.List.Name != "" && len(r.Places) == 0 {
			return fmt.Errorf("%s: has no entries, so there is no step to check", words.OneLine(r.Name()))
		}
		return errors.New("no track of the list is in the library: scan its folder first (dubgauge scan DIR)")
	}
	var better *setlist.Suggestion
	shown := r
	if f.suggest {
		if n := r.Found(); n > setlist.MostSuggested {
			return usageError{fmt.Errorf("--suggest takes %d tracks at most, and these are %d: ask for fewer", setlist.MostSuggested, n)}
		}
		fixed, err := f.fixed(r)
		if err != nil {
			return usageError{err}
		}
		s := setlist.Suggest(r.Set.Tracks, set, fixed)
		better, shown = &s, r.Reordered(s.Order, set)
	}
	if f.out.file == "-" {
		return a.saveRunning(ctx, db, f.out, shown)
	}
	if f.json {
		if err := writeOrderJSON(a.out, r, shown, better); err != nil {
			return err
		}
	} else {
		a.printOrder(r, shown, better, set.Limits)
	}
	if f.out.file == "" {
		return nil
	}
	return a.saveRunning(ctx, db, f.out, shown)
}

// saveRunning writes an order in the form that the file's ending asks for.
func (a *app) saveRunning(ctx context.Context, db *library.DB, out outputFlags, r *running.Order) error {
	return a.save(ctx, db, out, r.Found(), func(w io.Writer) error {
		switch strings.ToLower(filepath.Ext(out.file)) {
		case ".m3u", ".m3u8":
			return sheet.List(w, library.M3U, r.Name(), r.Tracks(), folderOf(out.file))
		case ".xspf":
			return sheet.List(w, library.XSPF, r.Name(), r.Tracks(), folderOf(out.file))
		}
		return sheet.OrderCSV(w, r)
	})
}

// fixed finds the tracks that keep a place.
func (f *orderFlags) fixed(r *running.Order) (setlist.Fixed, error) {
	fixed := setlist.Fixed{At: map[int]int{}}
	places, tracks, err := f.asked(r.Found())
	if err != nil {
		return fixed, err
	}
	taken := map[int]bool{}
	for i, place := range places {
		at, err := named(r.Tracks(), tracks[i])
		if err != nil {
			return fixed, err
		}
		if was, twice := fixed.At[at]; twice && was != place || taken[place] && !twice {
			return fixed, fmt.Errorf("%q at place %d: that place, or that track, is taken already", tracks[i], place+1)
		}
		fixed.At[at], taken[place] = place, true
	}
	return fixed, nil
}

// named is the place, from 0, of the one track of a list that is meant: by its number, the
// end of its path, or words of title, artist or path.
func named(tracks []*library.Track, query string) (int, error) {
	var found []int
	for i, t := range tracks {
		if fmt.Sprintf("#%d", t.ID) == query || strings.EqualFold(t.Path, query) {
			return i, nil
		}
		if hasText(t, query) {
			found = append(found, i)
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return 0, fmt.Errorf("%q: no such track in this list", query)
	}
	return 0, fmt.Errorf("%q means %d tracks of this list: say which, by more of the name or by number (#%d, #%d ...)",
		query, len(found), tracks[found[0]].ID, tracks[found[1]].ID)
}
