package main

import (
	"context"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"

	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// Columns of list, and the widths that the terminal must have for all of them.
var listHeader = table.Row{"#", "verdict", "level", "low end", "sub", "trim", "tempo", "key", "stick", "track", "why"}

const (
	columnCount = 11
	stickColumn = 8
	fewColumns  = 48  // the width of all but tempo, key, track and why
	tempoAndKey = 18  // theirs
	wideEnough  = 110 // below this, tempo and key make room for the names
	narrowest   = 18  // of track and why
)

// portion is how many rows are laid out at a time: tens of thousands would fill the memory.
const portion = 2000

// line is a track as list shows it: its cells, but for the name of its stick, and where
// it stands in the order. Tens of thousands of whole tracks would fill the memory.
type line struct {
	rank  words.Rank
	root  string
	cells [columnCount]string
}

// listLines prints the tracks that are shown in the order of key.
func (a *app) listLines(ctx context.Context, db *library.DB, o library.TrackOptions, key words.SortKey, sticks *plugged, shown func(*library.Track) bool) error {
	var lines []*line
	roots := map[string]bool{}
	err := db.Each(ctx, o, func(t *library.Track) error {
		if shown(t) {
			lines = append(lines, &line{key.Rank(t), t.Root, a.cells(t)})
			roots[t.Root] = true
		}
		return nil
	})
	if err != nil {
		return err
	}
	sticks.sayLeft()
	slices.SortFunc(lines, func(x, y *line) int { return x.rank.Compare(&y.rank) })
	return a.table(lines, words.SticksIn(roots))
}

// table prints lines: no rules, no boxes, one line each. Portions are laid out at once,
// on all cores.
func (a *app) table(lines []*line, sticks words.Sticks) error {
	for _, l := range lines {
		l.cells[stickColumn] = words.OneLine(sticks[l.root])
	}
	columns := a.columns(sticks)
	if len(lines) > portion {
		columns = a.widths(columns, lines)
	}
	var next sync.WaitGroup
	texts := make([]string, runtime.GOMAXPROCS(0))
	for from := 0; from == 0 || from < len(lines); from += portion * len(texts) {
		for k := range texts {
			texts[k] = ""
			if start := from + k*portion; start == 0 || start < len(lines) {
				next.Go(func() { texts[k] = a.rows(columns, lines[start:min(start+portion, len(lines))], start == 0) })
			}
		}
		next.Wait()
		for _, text := range texts {
			if _, err := io.WriteString(a.out, text); err != nil {
				return err
			}
		}
	}
	if a.term.is {
		a.say("\n%s", wrap(fmt.Sprintf("%s. Level, low end and sub: against the reference group, in dB; none where the track has nothing there. "+
			"Trim: at the mixer; * where the file has no room for all of it, ? over 12 dB, where it is a question. Tempo? may be half or double.", words.Counted(len(lines), "track")), a.talk.width, ""))
	}
	return nil
}

// widths sets the width of every column to that of its longest cell, so that portions
// line up.
func (a *app) widths(columns []table.ColumnConfig, lines []*line) []table.ColumnConfig {
	var width [columnCount]int
	for i := range listHeader {
		width[i] = text.StringWidth(listHeader[i].(string))
	}
	for _, l := range lines {
		for i := range l.cells {
			if len(l.cells[i]) > width[i] { // else it cannot be wider
				width[i] = max(width[i], text.StringWidthWithoutEscSequences(l.cells[i]))
			}
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

// rows lays out some of the lines, with the heads of the columns over the first.
func (a *app) rows(columns []table.ColumnConfig, lines []*line, head bool) string {
	var b strings.Builder
	w := table.NewWriter()
	w.SetOutputMirror(&b)
	w.SetStyle(table.StyleDefault)
	w.Style().Options = table.OptionsNoBordersAndSeparators
	w.Style().Format.Header = text.FormatDefault
	w.Style().Box.PaddingLeft, w.Style().Box.PaddingRight = "", "  "
	if head {
		w.AppendHeader(listHeader)
	} else {
		columns = slices.Clone(columns)
		for i := range columns { // without a head they go by number
			columns[i].Number = slices.Index(listHeader, any(columns[i].Name)) + 1
		}
	}
	w.SetColumnConfigs(columns)
	w.SuppressTrailingSpaces()
	for _, l := range lines {
		row := make(table.Row, columnCount)
		for i := range row {
			row[i] = l.cells[i]
		}
		w.AppendRow(row)
	}
	w.Render()
	return b.String()
}

func (a *app) columns(sticks words.Sticks) []table.ColumnConfig {
	var c []table.ColumnConfig
	narrow := a.term.is && a.term.width < wideEnough
	for _, name := range []string{"#", "level", "low end", "sub", "trim", "tempo"} {
		c = append(c, table.ColumnConfig{Name: name, Align: text.AlignRight, AlignHeader: text.AlignRight, Hidden: narrow && name == "tempo"})
	}
	c = append(c, table.ColumnConfig{Name: "stick", Hidden: sticks == nil, WidthMax: a.stickWidth(), WidthMaxEnforcer: snip})
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
	return append(c, table.ColumnConfig{Name: "key", Hidden: narrow},
		table.ColumnConfig{Name: "track", WidthMax: free * 6 / 10, WidthMaxEnforcer: snipPath},
		table.ColumnConfig{Name: "why", WidthMax: free * 4 / 10, WidthMaxEnforcer: snipList})
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

// cells are what the columns show of a track, but for its stick.
func (a *app) cells(t *library.Track) [columnCount]string {
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
	return [columnCount]string{strconv.FormatInt(t.ID, 10), a.term.paint(verdictPaint[t.Verdict], string(t.Verdict)),
		words.Plain.Change(t.MismatchDB, ""), words.Plain.LowPart(t, standout.LowEnd), words.Plain.LowPart(t, standout.Sub),
		trim, tempoCell(t), key, "", words.OneLine(t.Path), strings.Join(why, "; ")}
}

// stickWidth is how wide the names of sticks may get in a terminal; 0 is any.
func (a *app) stickWidth() int {
	if !a.term.is {
		return 0
	}
	return 12
}
