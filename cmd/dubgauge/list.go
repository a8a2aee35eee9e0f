package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"dubgauge/detect/standout"
	"dubgauge/export/sheet"
	"dubgauge/export/words"
	"dubgauge/library"
)

// listFlags are the options of list.
type listFlags struct {
	sort, status, verdict, text string
	json, ignored, all          bool
}

func (a *app) listCommand() *cobra.Command {
	var f listFlags
	cmd := &cobra.Command{
		Use:   "list",
		Short: "List the tracks, worst first",
		Long: `Lists the stored tracks with their verdict: how far the loudest 30 s lie from the
reference group in level, the low end and the sub likewise, the trim that the mixer
needs, and why. Behind the reasons stands which tracks are versions of one tune; that
changes no verdict. The worst come first: by verdict, then by how far past the cut-off.
Tracks on sticks that are not plugged in are left out, unless --all is given.`,
		Example: `  dubgauge list --verdict 'hold back'
  dubgauge list --status unreleased --sort low
  dubgauge list --text bootleg
  dubgauge list --sort mismatch --json`,
		Args: cobra.NoArgs,
	}
	judge := judgeFlags(cmd)
	fl := cmd.Flags()
	fl.StringVar(&f.sort, "sort", string(words.ByVerdict), words.SortHelp)
	f.filters(cmd)
	fl.BoolVar(&f.json, "json", false, "print JSON Lines: the whole record of each track")
	fl.BoolVar(&f.all, "all", false, "also list tracks on sticks that are not plugged in")
	fl.BoolVar(&f.ignored, "ignored", false, "also list tracks that are marked to be ignored")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		key, err := words.ParseSortKey(f.sort)
		if err == nil {
			err = f.check()
		}
		if err != nil {
			return usageError{err}
		}
		return a.withDB(cmd, func(ctx context.Context, db *library.DB) error {
			leanMemory()
			o := library.TrackOptions{Brief: !f.json, IncludeIgnored: f.ignored, Judge: judge()}
			sticks := a.newPlugged(f.all)
			shown := func(t *library.Track) bool { return sticks.in(t) && f.keeps(t) }
			if !f.json {
				return a.listLines(ctx, db, o, key, sticks, shown)
			}
			tracks, err := db.Tracks(ctx, o)
			if err != nil {
				return err
			}
			tracks = slices.DeleteFunc(tracks, func(t library.Track) bool { return !shown(&t) })
			sticks.sayLeft()
			return sheet.TracksJSON(a.out, words.Order(tracks, key), texter(ctx, db))
		})
	}
	return cmd
}

// check refuses words that would filter everything out.
func (f *listFlags) check() error {
	switch library.Status(f.status) {
	case "", library.Released, library.Unreleased, library.Unknown:
	default:
		return fmt.Errorf("--status %q: choose released, unreleased or unknown", f.status)
	}
	switch standout.Verdict(f.verdict) {
	case "", standout.Ready, standout.Check, standout.HoldBack, standout.Unreadable:
	default:
		return fmt.Errorf("--verdict %q: choose ready, check, 'hold back' or unreadable", f.verdict)
	}
	return nil
}

// keeps tells whether a track is asked for.
func (f *listFlags) keeps(t *library.Track) bool {
	return (f.status == "" || string(t.Status) == f.status) &&
		(f.verdict == "" || string(t.Verdict) == f.verdict) && (f.text == "" || hasText(t, f.text))
}

// hasText tells whether every word of s stands somewhere in the track's texts.
func hasText(t *library.Track, s string) bool {
	all := strings.ToLower(strings.Join([]string{t.Path, t.Tags.Title, t.Tags.Artist, strings.Join(t.Reasons, " ")}, "\n"))
	for _, w := range strings.Fields(strings.ToLower(s)) {
		if !strings.Contains(all, w) {
			return false
		}
	}
	return true
}

// plugged tells which sticks are plugged in, and counts the tracks of the others.
type plugged struct {
	a     *app
	all   bool // nobody asks
	there map[string]bool
	left  map[string]int
	roots []string // in their order
}

func (a *app) newPlugged(all bool) *plugged {
	return &plugged{a: a, all: all, there: map[string]bool{}, left: map[string]int{}}
}

// in tells whether the stick of a track is plugged in.
func (p *plugged) in(t *library.Track) bool {
	if p.all {
		return true
	}
	in, asked := p.there[t.Root]
	if !asked {
		in = library.PluggedIn(t.Root)
		p.there[t.Root] = in
		p.roots = append(p.roots, t.Root)
	}
	if !in {
		p.left[t.Root]++
	}
	return in
}

// sayLeft says what was left out.
func (p *plugged) sayLeft() {
	for _, root := range p.roots {
		if n := p.left[root]; n > 0 {
			p.a.say(notPluggedIn, words.Counted(n, "track"), words.OneLine(root), map[bool]string{true: "is", false: "are"}[n == 1], p.a.call())
		}
	}
}
