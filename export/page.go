package export

import (
	"bufio"
	"cmp"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strings"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

//go:embed web
var web embed.FS

var templates = template.Must(template.New("").Funcs(template.FuncMap{"choice": newChoice}).ParseFS(web, "web/*.tmpl"))

// choice is one option of a selection.
type choice struct {
	Value, Text string
	Chosen      bool
}

func newChoice(chosen, value, text string) choice { return choice{value, text, chosen == value} }

// ReportOptions of a report. The zero value is the default.
type ReportOptions struct {
	// Title heads the page; empty is "Trim sheet".
	Title string
	// Judge must hold the options with which the tracks were judged.
	Judge standout.Options
	// Now dates the report; zero is the present.
	Now time.Time
}

// manyTracks is the size of a library from which on a page is kept short: the
// figures are not drawn as strips and timelines have fewer points, so that 5,000
// tracks stay under 15 MB.
const manyTracks = 1500

// Points of a timeline: all that a measurement may hold, or what still shows the
// arrangement of a track.
const (
	allPoints = 240
	fewPoints = 48
)

// page is what the templates get.
type page struct {
	Title, Date     string
	Live            bool
	Summary         []count
	Held            string // what the library is held against
	Level, LowEnd   dotPlot
	Rows            []row
	Groups          []*group
	Ceiling         string
	Style, Script   template.HTML // inline in a report, links when served
	Policy          string
	Filter          filter
	Frame           frame
	Sheet           bool
	Undo            string
	One             *row // the single track of a page of its own
	HasRows, Hidden bool
	FirstRows       int // rows on the first printed page,
	SheetRows       int // and on each later one
}

type count struct {
	Class, Text string
}

// row is one line of the list.
type row struct {
	ID                           int64
	Name, Path, Codes, Sentence  string
	Verdict, Class, Status       string
	Trim, Wanted, Info           string
	Mismatch, Low, Sub, BPM, Key string
	LevelAt, LowAt               string
	Ignored                      bool
	Missing                      bool
	Sheet                        string // what heads the printed page that begins with this row
	Detail                       *detail
}

// Report writes the whole library as one HTML file without any request to
// anywhere: the picture, the list, every track in full, and for print the trim
// sheet. tracks is left as it is.
func Report(w io.Writer, tracks []library.Track, opts ReportOptions) error {
	p := newPage(tracks, opts, filter{}, true)
	style, styleHash, err := inline("style", "page.css")
	if err != nil {
		return err
	}
	script, scriptHash, err := inline("script", "list.js")
	if err != nil {
		return err
	}
	p.Style, p.Script = style, script
	p.Policy = fmt.Sprintf("default-src 'none'; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", styleHash, scriptHash)
	b := bufio.NewWriterSize(w, 1<<16)
	if err := templates.ExecuteTemplate(b, "page", p); err != nil {
		return err
	}
	return b.Flush()
}

// inline wraps one of our own files in its element and gives the hash that the
// Content-Security-Policy allows it by.
func inline(element, name string) (template.HTML, string, error) {
	text, err := web.ReadFile("web/" + name)
	if err != nil {
		return "", "", err
	}
	attributes := ""
	if element == "script" {
		attributes = ` type="module"`
	}
	sum := sha256.Sum256(text)
	html := "<" + element + attributes + ">" + string(text) + "</" + element + ">"
	return template.HTML(html), "sha256-" + base64.StdEncoding.EncodeToString(sum[:]), nil
}

// newPage lays the library out. Without details, rows lead to pages of their
// own.
func newPage(tracks []library.Track, opts ReportOptions, f filter, details bool) *page {
	if opts.Now.IsZero() {
		opts.Now = time.Now()
	}
	sorted := make([]library.Track, 0, len(tracks))
	for _, t := range tracks {
		if !t.Marks.Ignore || !details {
			sorted = append(sorted, t)
		}
	}
	Sort(sorted, f.sort())
	g := newGroups(sorted, opts.Judge)
	p := &page{
		Title: cmp.Or(opts.Title, "Trim sheet"), Date: day(opts.Now), Live: !details, Filter: f, Frame: newFrame(),
		Level:   newDotPlot("level", "Level of every track", "LUFS", sorted, g.tracks, levelOf),
		LowEnd:  newDotPlot("low", "Low end of every track", "dB", sorted, g.tracks, lowEndOf),
		Summary: summary(sorted), Held: heldAgainst(sorted, g.tracks), Ceiling: ceiling(opts.Judge), HasRows: len(sorted) > 0,
		FirstRows: firstRows, SheetRows: sheetRows,
	}
	points := allPoints
	if len(sorted) > manyTracks {
		points = fewPoints
	}
	for i := range sorted {
		t := &sorted[i]
		if !f.keeps(t) {
			continue
		}
		r := newRow(t, p)
		if details {
			r.Detail = newDetail(t, g, points)
			r.Detail.Strips = points == allPoints
		}
		p.Rows = append(p.Rows, r)
	}
	numberSheets(p.Rows)
	p.Groups = drawn(g)
	return p
}

// drawn lists the groups in the order of their numbers.
func drawn(g *groups) []*group {
	out := make([]*group, len(g.byKey))
	for _, x := range g.byKey {
		out[x.Number-1] = x
	}
	return out
}

func newRow(t *library.Track, p *page) row {
	trim := Trims(t)
	r := row{
		ID: t.ID, Name: Name(t), Path: clean(t.Path), Codes: clean(strings.Join(t.Reasons, ", ")), Sentence: sentence(t),
		Verdict: verdictWord(t), Class: class(t), Status: string(t.Status),
		Trim: signed(trim.SafeDB, 1), Info: infoWords(t),
		Mismatch: number(t.MismatchDB, 4), Low: number(Deviation(t, standout.LowEnd).DB, 4), Sub: number(Deviation(t, standout.Sub).DB, 4),
		BPM: decimals(Tempo(t), 1), Key: clean(keyName(t)),
		LevelAt: p.Level.places[t.ID], LowAt: p.LowEnd.places[t.ID], Ignored: t.Marks.Ignore, Missing: t.Missing(),
	}
	if trim.LimitingDB > 0 {
		r.Wanted = signed(trim.TrimDB, 1)
	}
	if t.Marks.Ignore {
		r.Trim, r.Wanted = "", ""
	}
	return r
}

// class is the verdict as a name for the style sheet.
func class(t *library.Track) string {
	if t.Marks.Ignore {
		return "ignored"
	}
	return strings.ReplaceAll(string(t.Verdict), " ", "-")
}

// infoWords is what the small print of a row says beside the status.
func infoWords(t *library.Track) string {
	if t.Marks.Reference {
		return ", named as a reference"
	}
	return ""
}

// summary counts the verdicts, the worst first.
func summary(tracks []library.Track) []count {
	n := map[string]int{}
	for i := range tracks {
		n[class(&tracks[i])]++
	}
	var out []count
	for _, c := range []struct{ class, text string }{
		{"unreadable", "unreadable"}, {"hold-back", "to hold back"}, {"check", "to check"}, {"ready", "ready"}, {"ignored", "ignored"},
	} {
		if n[c.class] > 0 {
			out = append(out, count{c.class, fmt.Sprintf("%d %s", n[c.class], c.text)})
		}
	}
	return out
}

// heldAgainst says what the library is held against.
func heldAgainst(tracks []library.Track, refs []*library.Track) string {
	what := "released track"
	for _, t := range refs {
		if t.Marks.Reference {
			what = "reference named by hand"
		}
	}
	s := counted(len(tracks), "track") + ", held against "
	if len(refs) < standout.MinGroup && what == "released track" {
		return s + "fixed values (common practice, no source): " + counted(len(refs), what) + " are too few for statistics."
	}
	if what != "released track" && len(refs) != 1 {
		what = "references named by hand"
		return s + fmt.Sprintf("%d %s.", len(refs), what)
	}
	return s + counted(len(refs), what) + ", each against those nearest to its tempo where there are enough."
}

func ceiling(o standout.Options) string {
	c := standout.DefaultCeiling
	if o.Ceiling != nil {
		c = *o.Ceiling
	}
	return decimals(detect.Value(c), 1)
}

// frame is what the charts of all tracks have in common.
type frame struct {
	Spectrum, Timeline []tick // of the vertical axes; X holds the height
	Bands              []tick
}

func newFrame() frame {
	var f frame
	for v := spectrumLow + 5; v <= spectrumHigh; v += 10 {
		f.Spectrum = append(f.Spectrum, tick{svg(chartY(v, spectrumHigh, spectrumLow)), decimals(detect.Value(v), 0)})
	}
	for v := timelineLow; v <= timelineHigh; v += 6 {
		f.Timeline = append(f.Timeline, tick{svg(chartY(v, timelineHigh, timelineLow)), decimals(detect.Value(v), 0)})
	}
	for _, b := range []struct {
		i    int
		text string
	}{{2, "31.5"}, {5, "63"}, {8, "125"}, {11, "250"}, {14, "500"}, {17, "1k"}, {20, "2k"}, {23, "4k"}, {26, "8k"}, {29, "16k"}} {
		f.Bands = append(f.Bands, tick{svg(bandX(b.i)), b.text})
	}
	return f
}
