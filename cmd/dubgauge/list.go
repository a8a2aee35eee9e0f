package main

import (
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
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
	fl.StringVar(&f.status, "status", "", "only `STATUS`: released, unreleased or unknown")
	fl.StringVar(&f.verdict, "verdict", "", "only `VERDICT`: ready, check, 'hold back' or unreadable")
	fl.StringVar(&f.text, "text", "", "only tracks with `TEXT` in path, title, artist or reasons")
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
			debug.SetGCPercent(leanGC)
			tracks, err := db.Tracks(ctx, library.TrackOptions{Brief: !f.json, IncludeIgnored: f.ignored, Judge: judge()})
			if err != nil {
				return err
			}
			if !f.all {
				tracks = a.pluggedIn(tracks)
			}
			tracks = f.filter(tracks)
			sorted := words.Order(tracks, key)
			if f.json {
				return sheet.TracksJSON(a.out, sorted, texter(ctx, db))
			}
			a.table(sorted, words.SticksOf(tracks))
			return nil
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

func (f *listFlags) filter(tracks []library.Track) []library.Track {
	kept := tracks[:0]
	for _, t := range tracks {
		if (f.status == "" || string(t.Status) == f.status) &&
			(f.verdict == "" || string(t.Verdict) == f.verdict) && hasText(&t, f.text) {
			kept = append(kept, t)
		}
	}
	return kept
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

// Columns of list, and the widths that the terminal must have for all of them.
var listHeader = table.Row{"#", "verdict", "level", "low end", "sub", "trim", "tempo", "key", "stick", "track", "why"}

const (
	fewColumns  = 48  // the width of all but tempo, key, track and why
	tempoAndKey = 18  // theirs
	wideEnough  = 110 // below this, tempo and key make room for the names
	narrowest   = 18  // of track and why
)

// portion is how many rows are laid out at a time: tens of thousands would fill the memory.
const portion = 2000

// table prints tracks: no rules, no boxes, one line each.
func (a *app) table(tracks []*library.Track, sticks words.Sticks) {
	columns := a.columns(sticks)
	if len(tracks) > portion {
		columns = a.widths(columns, tracks, sticks)
	}
	for from := 0; from == 0 || from < len(tracks); from += portion {
		a.rows(columns, tracks[from:min(from+portion, len(tracks))], sticks, from == 0)
	}
	if a.term.is {
		a.say("\n%s", wrap(fmt.Sprintf("%s. Level, low end and sub: against the reference group, in dB. "+
			"Trim: at the mixer; * where the file has no room for all of it, ? over 12 dB, where it is a question. Tempo? may be half or double.", words.Counted(len(tracks), "track")), a.talk.width, ""))
	}
}

// widths sets the width of every column to that of its longest cell, so that portions
// line up.
func (a *app) widths(columns []table.ColumnConfig, tracks []*library.Track, sticks words.Sticks) []table.ColumnConfig {
	width := make([]int, len(listHeader))
	for i := range listHeader {
		width[i] = text.StringWidth(listHeader[i].(string))
	}
	for _, t := range tracks {
		for i, cell := range a.row(t, sticks) {
			width[i] = max(width[i], text.StringWidthWithoutEscSequences(fmt.Sprint(cell)))
		}
	}
	for i := range listHeader {
		at := slices.IndexFunc(columns, func(c table.ColumnConfig) bool { return c.Name == listHeader[i] })
		if at < 0 {
			columns, at = append(columns, table.ColumnConfig{Name: listHeader[i].(string)}), len(columns)
		}
		c := &columns[at]
		c.WidthMin = width[i]
		if c.WidthMax > 0 {
			c.WidthMin = min(width[i], c.WidthMax)
		}
	}
	return columns
}

// rows prints some of the tracks, with the heads of the columns over the first.
func (a *app) rows(columns []table.ColumnConfig, tracks []*library.Track, sticks words.Sticks, head bool) {
	w := table.NewWriter()
	w.SetOutputMirror(a.out)
	w.SetStyle(table.StyleDefault)
	w.Style().Options = table.OptionsNoBordersAndSeparators
	w.Style().Format.Header = text.FormatDefault
	w.Style().Box.PaddingLeft, w.Style().Box.PaddingRight = "", "  "
	if head {
		w.AppendHeader(listHeader)
	} else {
		for i := range columns { // without a head they go by number
			columns[i].Number = slices.Index(listHeader, any(columns[i].Name)) + 1
		}
	}
	w.SetColumnConfigs(columns)
	w.SuppressTrailingSpaces()
	for _, t := range tracks {
		w.AppendRow(a.row(t, sticks))
	}
	w.Render()
}

func (a *app) columns(sticks words.Sticks) []table.ColumnConfig {
	var c []table.ColumnConfig
	narrow := a.term.is && a.term.width < wideEnough
	for _, name := range []string{"#", "level", "low end", "sub", "trim", "tempo"} {
		c = append(c, table.ColumnConfig{Name: name, Align: text.AlignRight, AlignHeader: text.AlignRight, Hidden: narrow && name == "tempo"})
	}
	c = append(c, table.ColumnConfig{Name: "stick", Hidden: sticks == nil, WidthMax: a.stickWidth(), WidthMaxEnforcer: text.Trim})
	if !a.term.is {
		return c
	}
	free := a.term.width - fewColumns
	if !narrow {
		free -= tempoAndKey
	}
	if sticks != nil {
		free -= a.stickWidth() + 2
	}
	free = max(2*narrowest, free)
	short := func(s string, n int) string { return text.Trim(s, n) }
	return append(c, table.ColumnConfig{Name: "key", Hidden: narrow},
		table.ColumnConfig{Name: "track", WidthMax: free * 6 / 10, WidthMaxEnforcer: short},
		table.ColumnConfig{Name: "why", WidthMax: free * 4 / 10, WidthMaxEnforcer: short})
}

// unsure is the confidence below which a tempo may well be half or double.
const unsure = 0.5

// tempoCell is the tempo, with a question mark where the reading is unsure.
func tempoCell(t *library.Track) string {
	m := &t.Measurement.Tempo
	s := words.Plain.Figure(m.BPM, "")
	if m.BPM.Exists() && !(m.Confidence >= unsure) {
		s += "?"
	}
	return s
}

func (a *app) row(t *library.Track, sticks words.Sticks) table.Row {
	trim := words.Plain.Trim(t)
	if words.BakedLess(t) && !words.Questioned(t) {
		trim += "*"
	}
	key := "-"
	if k := t.Measurement.Key; k != nil {
		key = k.Name
	}
	why := slices.Clone(t.Reasons)
	if s := words.VersionMark(t); s != "" {
		why = append(why, s)
	}
	return table.Row{t.ID, a.term.paint(verdictPaint[t.Verdict], string(t.Verdict)),
		words.Plain.Change(t.MismatchDB, ""), words.Plain.Change(words.Deviation(t, standout.LowEnd).DB, ""), words.Plain.Change(words.Deviation(t, standout.Sub).DB, ""),
		trim, tempoCell(t), key, words.OneLine(sticks[t.Root]), words.OneLine(t.Path), strings.Join(why, "; ")}
}

// stickWidth is how wide the names of sticks may get in a terminal; 0 is any.
func (a *app) stickWidth() int {
	if !a.term.is {
		return 0
	}
	return 12
}

// pluggedIn leaves out the tracks of sticks that are not plugged in, and says so.
func (a *app) pluggedIn(tracks []library.Track) []library.Track {
	there := map[string]bool{}
	left := map[string]int{}
	var roots []string
	kept := tracks[:0]
	for _, t := range tracks {
		in, asked := there[t.Root]
		if !asked {
			in = library.PluggedIn(t.Root)
			there[t.Root] = in
			roots = append(roots, t.Root)
		}
		if in {
			kept = append(kept, t)
		} else {
			left[t.Root]++
		}
	}
	for _, root := range roots {
		if n := left[root]; n > 0 {
			a.say(notPluggedIn, words.Counted(n, "track"), words.OneLine(root), map[bool]string{true: "is", false: "are"}[n == 1], a.call())
		}
	}
	return kept
}
