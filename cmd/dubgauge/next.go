package main

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"dubgauge/detect/setlist"
	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

// nextFlags are the options of next.
type nextFlags struct {
	setFlags
	listFlags
	count int
}

func (a *app) nextCommand() *cobra.Command {
	var f nextFlags
	cmd := &cobra.Command{
		Use:   "next TRACK",
		Short: "Which tracks of the library go best after one, and why",
		Long: `Names the tracks of the library that cost least after TRACK, by tempo, key, level and low
end: the end that is mixed out of against the start that is mixed in, and the loudest 30 s of
both. TRACK is its number in "dubgauge list" (#12), its path or the end of it, or words from
its title, artist or path. Other versions of the same music are left out, and tracks on
sticks that are not plugged in.`,
		Example: `  dubgauge next '#12'
  dubgauge next "night bus" --verdict ready --tempo rise
  dubgauge next '#12' --weight key=2 --count 20`,
		Args:              needs(1, 1, "next needs one track: dubgauge next TRACK, by number, path or words (in quotes)"),
		ValidArgsFunction: a.completeTracks,
	}
	f.addLimits(cmd)
	f.filters(cmd)
	cmd.Flags().IntVarP(&f.count, "count", "n", 8, "name `N` tracks")
	cmd.Flags().BoolVar(&f.json, "json", false, "print JSON Lines: one object a track")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		set, err := f.options()
		if err == nil {
			err = f.check()
		}
		if err == nil && (f.count < 1 || f.count > 1000) {
			err = fmt.Errorf("--count %d: choose a number from 1 to 1000", f.count)
		}
		if err != nil {
			return usageError{err}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error { return a.next(ctx, db, &f, set, args[0]) })
	}
	return cmd
}

// next finds and prints the followers of the track that a query means.
func (a *app) next(ctx context.Context, db *library.DB, f *nextFlags, set setlist.Options, query string) error {
	found, err := find(ctx, db, query)
	if err != nil {
		return err
	}
	t, err := db.TrackAs(ctx, found.ID, f.judge())
	if err != nil {
		return err
	}
	if !steps(&t) {
		return fmt.Errorf(nothingToFollow, words.OneLine(t.Path), a.call(), t.ID)
	}
	tracks, err := db.Tracks(ctx, library.TrackOptions{Brief: true, Judge: f.judge()})
	if err != nil {
		return err
	}
	sticks := a.newPlugged(false)
	var asked []*library.Track
	for i := range tracks {
		if c := &tracks[i]; f.keeps(c) && follows(&t, c) && sticks.in(c) {
			asked = append(asked, c)
		}
	}
	sticks.sayLeft()
	candidates := make([]setlist.Track, 0, len(asked))
	err = whole.Tracks(asked, filler(ctx, db), func(c *library.Track) error {
		candidates = append(candidates, setlist.Of(c.ID, &c.Measurement, c.Trim.TrimDB))
		return nil
	})
	if err != nil {
		return err
	}
	from := setlist.Of(t.ID, &t.Measurement, t.Trim.TrimDB)
	best := setlist.Followers(&from, candidates, f.count, set)
	if f.json {
		return a.nextJSON(asked, best)
	}
	a.printNext(&t, &from, asked, best)
	return nil
}

// follows tells that c is another track that can be compared and holds other music.
func follows(t, c *library.Track) bool {
	if c.ID == t.ID || c.Missing() || t.Twin != 0 && c.Twin == t.Twin {
		return false
	}
	return steps(c) && (t.Versions == nil || !slices.ContainsFunc(t.Versions.Tracks, func(v library.Version) bool { return v.ID == c.ID && !v.Part }))
}

// steps tells that something was measured of a track by which a step to it, or from it, is told.
func steps(t *library.Track) bool {
	m := &t.Measurement
	return m.Loudness.Loudest30sLUFS.Exists() || m.Tempo.BPM.Exists() || m.Key != nil
}

// printNext prints a line a track, with what it is like after the other.
func (a *app) printNext(t *library.Track, from *setlist.Track, asked []*library.Track, best []setlist.Follower) {
	tempo, key := "no tempo", "no key"
	if from.EndBPM.Exists() {
		tempo = words.Plain.Figure(from.EndBPM, "BPM")
	}
	if from.EndKeyName != "" {
		key = from.EndKeyName
	}
	a.print("After #%d  %s  (%s, %s)", t.ID, a.term.paint(bold, words.OneLine(words.Name(t))), tempo, key)
	if len(best) == 0 {
		a.print("No other track of the library can be compared with it.")
		return
	}
	for i := range best {
		b := &best[i]
		c := asked[b.Index]
		a.print("%3d  %5.1f  #%-5d %s", i+1, b.Step.Cost.Total, c.ID, a.cutTo(words.OneLine(words.Name(c)), 19))
		a.print("            %s", wrap(words.Plain.Follows(&b.Step), max(0, a.term.width-12), "            "))
	}
	a.print("%s", wrap("The figure before the number is the cost: 1 is a step of tempo or key at the limit, or two of level or low end.", a.term.width, ""))
}

// cutTo keeps text behind so many columns to the width of the terminal.
func (a *app) cutTo(s string, column int) string {
	if a.term.width > column {
		return snip(s, a.term.width-column)
	}
	return s
}

// nextRecord is a follower in JSON.
type nextRecord struct {
	ID    int64        `json:"id"`
	Root  string       `json:"root"`
	Path  string       `json:"path"`
	Words string       `json:"words"`
	Step  setlist.Step `json:"step"`
}

func (a *app) nextJSON(asked []*library.Track, best []setlist.Follower) error {
	e := json.NewEncoder(a.out)
	e.SetEscapeHTML(false)
	for i := range best {
		c := asked[best[i].Index]
		if err := e.Encode(nextRecord{c.ID, c.Root, c.Path, words.Plain.Follows(&best[i].Step), best[i].Step}); err != nil {
			return err
		}
	}
	return nil
}
