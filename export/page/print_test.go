package page

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"dubgauge/decode/need"
	"dubgauge/detect/standout"
	"dubgauge/export/browser"
	"dubgauge/export/madeup"
	"dubgauge/export/words"
	"dubgauge/library"
)

// Papers in inches: ISO 216 A4 and US Letter (ANSI/ASME Y14.1).
var papers = map[string]chromedp.PaperSize{"A4": {Width: 8.27, Height: 11.69}, "Letter": {Width: 8.5, Height: 11}}

// families to print in, wide and narrow, with and without serifs, one that is
// drawn much higher than it is wide, one for CJK, and one that no machine has.
var families = []string{
	"", "DejaVu Serif", "DejaVu Sans", "DejaVu Sans Mono", "Liberation Serif", "Liberation Sans",
	"Noto Sans", "Noto Serif CJK JP", "No Such Family",
}

// pangram is a name of many wide letters, longer than any line.
const pangram = "MAMMOTH WAX WORKS (WILLOW & MAUD'S EXTENDED WAREHOUSE RE-WORK OF THE WINDMILL MEMORANDUM)"

// printed is a library whose names, codes and figures are as long as they get.
func printed(n int) []library.Track {
	tracks := madeup.Tracks(n)
	tracks[3].Tags.Title, tracks[5].Tags.Title, tracks[7].Tags.Title = pangram, "夜行バス 第七版 \u0e17\u0e35\u0e48", ""
	tracks[7].Tags.Artist, tracks[7].Path = "", "Dubs/"+strings.Repeat("long_name_without_a_space_", 8)+".wav"
	tracks[9].Measurement.Key.Name, tracks[9].Measurement.Tempo.BPM = "Ab minor", 187.5
	tracks[3].Loudness.Loudest30sLUFS -= 14 // a trim of two digits
	madeup.Rejudge(tracks)
	tracks[3].Reasons = strings.Split("quiet,low end thin,sub thin,bass thin,mono loss,over full scale,dc offset,silence,hole,click", ",")
	return tracks
}

func TestPrintingGivesTheTrimSheet(t *testing.T) {
	tracks := printed(firstRows + sheetRows + 1)
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, tracks)
	sorted := append(tracks[:0:0], tracks...)
	words.Sort(sorted, words.ByVerdict)
	ctx := browser.Tab(t)
	browser.Do(t, ctx, browser.Navigate("file://"+file))
	for _, family := range families {
		t.Run(family, func(t *testing.T) {
			needsFamily(t, family)
			inFamily(t, ctx, family)
			holds(t, ctx)
			for name, paper := range papers {
				pages := printPages(t, ctx, paper)
				if len(pages) != 3 {
					t.Fatalf("%s: %d tracks take %d pages, want 3", name, len(tracks), len(pages))
				}
				checkSheets(t, pages, sorted)
			}
		})
	}
}

// needsFamily skips where a family is not installed, and fails in CI.
func needsFamily(t *testing.T, family string) {
	t.Helper()
	if family == "" || family == "No Such Family" {
		return
	}
	out, err := exec.Command("fc-list", ":", "family").Output()
	if err != nil || !strings.Contains("\n"+strings.ReplaceAll(string(out), ",", "\n"), "\n"+family+"\n") {
		need.Absent(t, "the font "+family+" is not installed")
	}
}

// inFamily sets every text of the page in one family.
func inFamily(t *testing.T, ctx context.Context, family string) {
	t.Helper()
	if family == "" {
		return
	}
	browser.Eval[bool](t, ctx, fmt.Sprintf(`(() => {
		const sheet = new CSSStyleSheet();
		sheet.replaceSync('* { font-family: "%s" !important }');
		document.adoptedStyleSheets = [sheet];
		return true;
	})()`, family))
}

// holds checks the boxes as they lie on A4: every row of one height, the trim and
// the figures whole and inside their row.
func holds(t *testing.T, ctx context.Context) {
	t.Helper()
	browser.Do(t, ctx, chromedp.EmulateViewport(695, 1000)) // 184 mm at 96 dots an inch
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"}); err != nil {
		t.Fatal(err)
	}
	wrong := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.row')].flatMap(row => {
		const box = row.getBoundingClientRect(), wrong = [];
		if (Math.abs(box.height - 8.5 / 25.4 * 96) > 0.6) wrong.push(row.id + ' is ' + box.height + ' px high');
		const name = row.querySelector('h3 a').getBoundingClientRect();
		for (const part of row.querySelectorAll('.t, .bpm, .key')) {
			const r = part.getBoundingClientRect();
			if (r.top < box.top - 1 || r.bottom > box.bottom + 1 || r.right > box.right + 1 || r.left < name.right) wrong.push(row.id + ' .' + part.className + ' lies outside');
			if (part.scrollWidth > part.clientWidth + 1 && part.clientWidth) wrong.push(row.id + ' .' + part.className + ' is cut');
		}
		const [key, trim] = [row.querySelector('.key'), row.querySelector('.t')];
		if (key && key.getBoundingClientRect().right > trim.getBoundingClientRect().left) wrong.push(row.id + ': key and trim overlap');
		return wrong;
	})`)
	if len(wrong) > 0 {
		t.Errorf("%d things, such as %s", len(wrong), wrong[0])
	}
}

// printPages prints to PDF and gives the text of each page.
func printPages(t *testing.T, ctx context.Context, paper chromedp.PaperSize) []sheet {
	t.Helper()
	pdftotext := need.Program(t, "pdftotext")
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPaper(paper)))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(path, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	if dir := os.Getenv("DUBGAUGE_PRINTS"); dir != "" { // to look at
		name := strings.NewReplacer("/", "-", " ", "-").Replace(t.Name())
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%.1f.pdf", name, paper.Width)), pdf, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b, err := exec.Command(pdftotext, "-bbox", path, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return readSheets(t, string(b))
}

// word is a word of a printed page, where it begins from the left, and the middle
// of its height from the top, in mm.
type word struct {
	text string
	x, y float64
}

type sheet []word

func (s sheet) String() string {
	var b strings.Builder
	for _, w := range s {
		b.WriteString(w.text + " ")
	}
	return b.String()
}

var bbox = regexp.MustCompile(`<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="[\d.-]+" yMax="([\d.-]+)">(.*)</word>`)

func readSheets(t *testing.T, text string) []sheet {
	t.Helper()
	const point = 25.4 / 72 // mm
	var sheets []sheet
	for _, page := range strings.Split(text, "<page ")[1:] {
		var s sheet
		for _, m := range bbox.FindAllStringSubmatch(page, -1) {
			left, err1 := strconv.ParseFloat(m[1], 64)
			top, err2 := strconv.ParseFloat(m[2], 64)
			bottom, err3 := strconv.ParseFloat(m[3], 64)
			if err := errors.Join(err1, err2, err3); err != nil {
				t.Fatal(err)
			}
			s = append(s, word{html.UnescapeString(m[4]), left * point, (top + bottom) / 2 * point})
		}
		sheets = append(sheets, s)
	}
	return sheets
}

// The heights in mm of the style sheet's print part.
const (
	rowHeight   = 8.5
	rowsBelow   = 3.5 // from the middle of a page's heading to its first row
	oneLine     = 1.5 // how far the middles of words in one line lie apart at most, as sizes and fonts differ
	nextLine    = 2.5 // and at least from those of the line below
	nameAtLeast = 12  // characters of a name that are there in any font
)

// checkSheets holds the pages against the tracks in their order: the number of
// each page, and as many rows at their height as it has to have.
func checkSheets(t *testing.T, pages []sheet, tracks []library.Track) {
	t.Helper()
	next := 0
	for i, page := range pages {
		want := fmt.Sprintf("page %d of %d", i+1, len(pages))
		if strings.Count(page.String(), want) != 1 || strings.Count(page.String(), "page ") != 1 {
			t.Fatalf("page %d does not say %q once: %s", i+1, want, page)
		}
		heading := 0
		for page[heading].text != "page" {
			heading++
		}
		rows := sheetRows
		if i == 0 {
			rows = firstRows
		}
		for k := range min(rows, len(tracks)-next) {
			from := page[heading].y + rowsBelow + float64(k)*rowHeight
			var row sheet
			for _, w := range page {
				if w.y >= from && w.y < from+rowHeight {
					row = append(row, w)
				}
			}
			checkRow(t, row, &tracks[next])
			next++
		}
	}
	last := pages[len(pages)-1].String()
	if next != len(tracks) || !strings.Contains(last, "Start low") || !strings.Contains(last, "local law applies") {
		t.Errorf("%d of %d tracks, and the last page reads %s", next, len(tracks), last)
	}
}

// checkRow wants the name, or its beginning, the tempo, the key and the trim in
// one line, and the verdict below it.
func checkRow(t *testing.T, row sheet, x *library.Track) {
	t.Helper()
	tempo := words.Page.Number(words.Tempo(x), 1)
	at := slices.IndexFunc(row, func(w word) bool { return w.text == tempo })
	if at < 0 {
		t.Errorf("the row of %s has no tempo: %s", words.Name(x), row)
		return
	}
	var line, below sheet
	for _, w := range row {
		switch d := w.y - row[at].y; {
		case d > -oneLine && d < oneLine:
			line = append(line, w)
		case d > nextLine:
			below = append(below, w)
		default:
			t.Errorf("%q of %s stands %.1f mm off its line", w.text, words.Name(x), d)
		}
	}
	for _, l := range []sheet{line, below} {
		slices.SortStableFunc(l, func(a, b word) int { return cmp.Compare(a.x, b.x) })
	}
	want := string([]rune(words.Name(x))[:nameAtLeast])
	for _, part := range []string{want, " " + tempo + " ", words.KeyName(x), " " + words.Page.Trim(x) + " ", asideOf(x)} {
		if !strings.Contains(line.String(), part) {
			t.Errorf("the line of %s has no %q: %s", words.Name(x), part, line)
		}
	}
	if x.Verdict != standout.Ready && !strings.Contains(below.String(), words.Verdict(x)+": "+strings.SplitN(x.Reasons[0], " ", 2)[0]) {
		t.Errorf("below %s stands %q", words.Name(x), below)
	}
}

// asideOf is what stands beside a trim: what of it can go into the file, or what a trim
// over 12 dB asks.
func asideOf(x *library.Track) string {
	switch {
	case x.Trim.TrimDB > 12 || x.Trim.TrimDB < -12:
		return " finished file?"
	case x.Trim.SafeDB < x.Trim.TrimDB:
		return " " + words.Page.Signed(x.Trim.SafeDB, 1) + " in the file"
	}
	return ""
}

func TestPrintingWhatIsShown(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, madeup.Tracks(500))
	ctx := browser.Tab(t)
	browser.Do(t, ctx, browser.Navigate("file://"+file))
	// 500 rows: one first page, and 478 rows in 19 pages of up to 26.
	if pages := printPages(t, ctx, papers["A4"]); len(pages) != 20 || !strings.Contains(pages[19].String(), "page 20 of 20") {
		t.Errorf("500 tracks take %d pages", len(pages))
	}
	browser.Eval[bool](t, ctx, `(() => {
		document.getElementById('status').value = 'unreleased';
		document.getElementById('status').dispatchEvent(new Event('input', { bubbles: true }));
		return true;
	})()`)
	// One in four is unreleased: 125 rows, 22 and four pages of up to 26.
	pages := printPages(t, ctx, papers["A4"])
	if len(pages) != 5 {
		t.Fatalf("125 tracks take %d pages", len(pages))
	}
	for i, page := range pages {
		if !strings.Contains(page.String(), fmt.Sprintf("page %d of 5", i+1)) || strings.Count(page.String(), "page ") != 1 {
			t.Errorf("page %d reads\n%s", i+1, page)
		}
	}
}

// Without a script the headings stand where the server or the report put them.
func TestSheetsAreNumberedBeforeAnyScript(t *testing.T) {
	for _, c := range []struct {
		rows int
		at   []int // the rows that begin a page
		last string
	}{
		{1, []int{0}, "page 1 of 1"}, {firstRows, []int{0}, "page 1 of 1"}, {firstRows + 1, []int{0, 22}, "page 2 of 2"},
		{firstRows + sheetRows, []int{0, 22}, "page 2 of 2"}, {firstRows + sheetRows + 1, []int{0, 22, 48}, "page 3 of 3"},
		{firstRows + 3*sheetRows, []int{0, 22, 48, 74}, "page 4 of 4"},
	} {
		rows := make([]row, c.rows)
		numberSheets(rows)
		var at []int
		for i := range rows {
			if rows[i].Sheet != "" {
				at = append(at, i)
			}
		}
		if !slices.Equal(at, c.at) || rows[at[len(at)-1]].Sheet != c.last {
			t.Errorf("%d rows: pages begin at %v, want %v; the last is %q", c.rows, at, c.at, rows[at[len(at)-1]].Sheet)
		}
	}
	numberSheets(nil)
}

// A track prints with its figures and its charts, on numbered pages; a long name keeps to two
// lines, and what is for the screen alone is left out.
func TestPrintingOneTrack(t *testing.T) {
	tracks := printed(40)
	tracks[3].Tags.Title = strings.Repeat(pangram+" ", 4)
	var b strings.Builder
	if err := Single(&b, tracks, &tracks[3], Options{}, Served{Listen: func(*library.Track, []*library.Track) *Listen { return &Listen{} }}); err != nil {
		t.Fatal(err)
	}
	style, err := web.ReadFile("web/page.css")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "track.html")
	page := strings.Replace(strings.ReplaceAll(b.String(), scriptLinks, ""), styleLink, "<style>"+string(style)+"</style>", 1)
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx := browser.Tab(t)
	browser.Do(t, ctx, browser.Navigate("file://"+file))
	for name, paper := range papers {
		pages := printPages(t, ctx, paper)
		text := ""
		for i, p := range pages {
			text += p.String()
			if !strings.Contains(p.String(), fmt.Sprintf("page %d of %d", i+1, len(pages))) {
				t.Errorf("%s: page %d of %d is not numbered: %s", name, i+1, len(pages), p)
			}
		}
		for _, want := range []string{"Level, loudest 30 s", "Low end, 20 to 150 Hz", "Third-octave spectrum", "Loudness over time", "this track", "Start low", "Tempo"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: the print lacks %q", name, want)
			}
		}
		for _, not := range []string{"Decide yourself", "Listen ", "Previous", "All tracks"} {
			if strings.Contains(text, not) {
				t.Errorf("%s: the print has %q", name, not)
			}
		}
		if n := strings.Count(text, "MAMMOTH"); n > 2 || len(pages) > 3 {
			t.Errorf("%s: the name stands there %d times on %d pages", name, n, len(pages))
		}
	}
}

// Each printed page has a running head: the title, and where a filter leaves tracks out, of
// which so many are shown.
func TestRunningHeads(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, madeup.Tracks(120))
	ctx := browser.Tab(t)
	browser.Do(t, ctx, browser.Navigate("file://"+file))
	browser.Eval[bool](t, ctx, `(e => (e.value = 'unreleased', e.dispatchEvent(new Event('input', { bubbles: true }))))(document.getElementById('status'))`)
	pages := printPages(t, ctx, papers["A4"])
	for i, p := range pages {
		if want := fmt.Sprintf("Trim sheet, 30 of 120 tracks: unreleased, page %d of 2", i+1); len(pages) != 2 || !strings.Contains(p.String(), want) {
			t.Errorf("page %d of %d is not headed %q: %s", i+1, len(pages), want, p)
		}
	}
	if !strings.Contains(pages[0].String(), "30 of 120 tracks: unreleased Trim") && strings.Count(pages[0].String(), "30 of 120 tracks") != 2 {
		t.Errorf("the head of the whole does not say what is shown: %s", pages[0])
	}
}
