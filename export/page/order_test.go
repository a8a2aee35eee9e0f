package page

import (
	"bytes"
	"context"
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/export/madeup"
	"dubgauge/export/running"
	"dubgauge/library"
)

// inOrder makes a running order of invented tracks, each of which change alters.
func inOrder(t testing.TB, n int, change func(i int, t *library.Track)) *running.Order {
	t.Helper()
	l := library.Playlist{Name: "/sets/friday.m3u8", Title: "Friday <1>"}
	var all []*library.Track
	for i := range n {
		x := madeup.Track(int64(i+1), fmt.Sprintf("Dubs/%d & more.wav", i+1), -7)
		x.LowEnd.SubDB, x.LowEnd.BassDB = -3, 0
		x.Measurement.Tempo.BPM, x.Measurement.Tempo.Confidence, x.Measurement.Tempo.FirstBeatS = 125, 0.95, 0.5
		x.Measurement.File.DurationS, x.Loudness.Loudest30sStartS, x.Loudness.Loudest30sOverS = 300, 100, 30
		x.Measurement.Key = &detect.Key{Name: "A minor", Confidence: 0.95}
		change(i, &x)
		all = append(all, &x)
		l.Entries = append(l.Entries, library.PlaylistEntry{Path: x.Path})
	}
	r, err := running.New(context.Background(), l, all, running.Options{Dir: "/music"})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// odd changes the third of a set: 4 LU quieter, 5 dB less sub, 8 % faster, a distant key.
func odd(i int, t *library.Track) {
	if i == 2 {
		t.Loudness.Loudest30sLUFS -= 4
		t.Trim.TrimDB += 4
		t.LowEnd.SubDB -= 5
		t.Measurement.Tempo.BPM = 135
		t.Measurement.Key.Name = "Eb major"
	}
}

// TestOrderSaysEveryStep: figures and flags of each step in words, both ways.
func TestOrderSaysEveryStep(t *testing.T) {
	o := NewOrder(inOrder(t, 8, odd))
	if o.Name != "Friday <1>" || o.Summary != "8 tracks, 2 of 7 steps stand out." || o.Levelling == "" {
		t.Errorf("%q, %q, %q", o.Name, o.Summary, o.Levelling)
	}
	// 135 over 125 BPM is 8 %, and 12 log2(125/135) = -1.33 semitones.
	want := []string{"level 0.0 LU (\u22124.0 without the trims)", "sub \u22125.0 dB", "bass 0.0 dB",
		"tempo +8.0\u00a0%, \u22121.33 semitones without key lock", "Eb major after A minor: a distant key"}
	into, out := o.Places[2].Step, o.Places[3].Step
	if d := cmp.Diff(want, into.Words); d != "" || into.From != 2 || into.To != 3 {
		t.Errorf("%d to %d: %s", into.From, into.To, d)
	}
	codes := func(s *orderStep) (all []string) {
		for _, f := range s.Flags {
			all = append(all, f.Code)
			if len(f.Note) < 20 {
				t.Errorf("%s is said %q", f.Code, f.Note)
			}
		}
		return all
	}
	for _, code := range []string{"level step", "sub step", "tempo step", "key clash"} {
		if !strings.Contains(strings.Join(codes(into), ","), code) || !strings.Contains(strings.Join(codes(out), ","), code) {
			t.Errorf("%s is not said: in %v, out %v", code, codes(into), codes(out))
		}
	}
	if len(o.Out) != 2 || o.Out[0] != into || o.Out[1] != out {
		t.Errorf("%d steps are listed", len(o.Out))
	}
	if quiet := o.Places[5].Step; len(quiet.Flags) != 0 || o.Places[0].Step != nil {
		t.Error("a step that is none, or no step, is said to stand out")
	}
	if p := o.Places[2]; p.Trim != "+4.0" || p.Alone != "" || p.BPM != "135.0" || p.Key != "Eb major" || p.ID != 3 || p.Found != "" {
		t.Errorf("%+v", p)
	}
}

// TestOrderUnsure: what is not sure is said so, what is not known is not made up.
func TestOrderUnsure(t *testing.T) {
	o := NewOrder(inOrder(t, 3, func(i int, t *library.Track) {
		t.Measurement.Tempo.Confidence = 0.7 // 0.49 for both
		if i == 2 {
			t.Measurement.Key, t.Measurement.Tempo.BPM = nil, detect.None
			t.Loudness.Loudest30sLUFS = detect.None
		}
	}))
	if d := cmp.Diff([]string{"level 0.0 LU", "sub 0.0 dB", "bass 0.0 dB", "tempo 0.0\u00a0% (49\u00a0% sure)", "A minor after A minor: the same key"}, o.Places[1].Step.Words); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"sub 0.0 dB", "bass 0.0 dB", "no key to compare"}, o.Places[2].Step.Words); d != "" {
		t.Error(d)
	}
	if o.Summary != "3 tracks, no step stands out." {
		t.Error(o.Summary)
	}
}

// TestHearBeatInDoubt: a step is not played beat on beat where one of the beats may lie half of one off.
func TestHearBeatInDoubt(t *testing.T) {
	o := NewOrder(inOrder(t, 4, func(i int, t *library.Track) {
		t.Measurement.Tempo.BeatConfidence = []detect.Value{0, 0.99, 0.7, 0.8}[i]
	}))
	want := "Not in time: the beat of one of the tracks may lie half a beat off."
	for i, doubt := range []bool{false, true, true} {
		h := o.Places[i+1].Step.Hear
		if h == nil || (h.Words == want) != doubt || strings.HasPrefix(h.Words, "Not") != doubt {
			t.Errorf("step %d: %+v", i+1, h)
		}
	}
}

// TestOrderOfFew: one track, none, and places that were not found.
func TestOrderOfFew(t *testing.T) {
	if o := NewOrder(inOrder(t, 1, odd)); o.Summary != "1 track, no step to check." || len(o.Staves) != 1 {
		t.Error(o.Summary)
	}
	r := inOrder(t, 0, odd)
	r.List.Title = ""
	if o := NewOrder(r); o.Summary != "0 tracks, no step to check." || len(o.Staves) != 0 || o.Levelling != "" || o.Name != "friday.m3u8" {
		t.Errorf("%+v", o)
	}
	l := library.Playlist{Entries: []library.PlaylistEntry{{Path: "a.wav"}, {Path: "no.wav", Title: "T"}, {Path: "b.wav"}}}
	a, b := madeup.Track(1, "a.wav", -7), madeup.Track(2, "b.wav", -7)
	r, err := running.New(context.Background(), l, []*library.Track{&a, &b}, running.Options{Dir: "/music"})
	if err != nil {
		t.Fatal(err)
	}
	o := NewOrder(r)
	if o.Summary != "3 tracks, 1 of them not found in the library and left out of the steps, no step stands out." {
		t.Error(o.Summary)
	}
	if p := o.Places[1]; p.ID != 0 || p.Name != "T" || p.Path != "no.wav" || p.Found != "Not in the library" || p.Step != nil || p.Trim != "" {
		t.Errorf("%+v", p)
	}
	if s := o.Places[2].Step; s == nil || s.From != 1 || s.To != 3 {
		t.Errorf("%+v", s)
	}
	if len(o.Staves[0].Missing) != 1 || o.Staves[0].Missing[0] != (breach{"133", "78"}) { // 46 + 672/8 + 3
		t.Errorf("%+v", o.Staves[0].Missing)
	}
}

// TestStaves: as many staves as it takes, each with its numbers, the same scale in all.
func TestStaves(t *testing.T) {
	o := NewOrder(inOrder(t, 60, odd))
	if len(o.Staves) != 3 || len(o.Staves[0].Numbers) != 24 || len(o.Staves[2].Numbers) != 12 || o.Staves[2].Numbers[0] != (tick{"60", "49"}) {
		t.Fatalf("%d staves", len(o.Staves))
	}
	if n := len(NewOrder(inOrder(t, 48, odd)).Staves); n != 2 {
		t.Errorf("48 tracks have %d staves", n)
	}
	for l := range laneCount {
		if d := cmp.Diff(o.Staves[0].Lanes[l].Ticks, o.Staves[2].Lanes[l].Ticks); d != "" || len(o.Staves[0].Lanes[l].Ticks) < 2 {
			t.Errorf("lane %d: %s", l, d)
		}
	}
	if l := o.Staves[2].Lanes[0]; l.Left != "46" || l.Right != "382" { // 46 + 12 times 28
		t.Errorf("a lane from %s to %s", l.Left, l.Right)
	}
	// The steps into and out of the third track stand out in all three lanes and in the keys.
	marks := o.Staves[0].Marks
	if len(marks) != 8 || len(o.Staves[1].Marks) != 0 {
		t.Fatalf("%d marks", len(marks))
	}
	seen := map[string]bool{}
	ends := map[string]string{"20": "82", "104": "166", "188": "250", "268": "282"} // 62 lower; 14 for the keys
	for _, m := range marks {
		seen[m.X+","+m.Y] = true
		if m.Bottom != ends[m.Y] {
			t.Errorf("a mark from %s to %s", m.Y, m.Bottom)
		}
		if m.Note == "" {
			t.Error("a mark without a reason")
		}
	}
	for _, x := range []string{"102", "130"} { // 46 + 28 times 2 and 3
		for _, y := range []string{"20", "104", "188", "268"} { // 20 + 84 a lane, 4 less for the keys
			if !seen[x+","+y] {
				t.Errorf("no mark at %s,%s: %v", x, y, seen)
			}
		}
	}
}

// TestLane: a figure twice as high lies twice as high, and trims are drawn from the file's
// level to the set's.
func TestLane(t *testing.T) {
	n := newLane(levelLane, 100, -4, -12)
	if n.y(-4) != laneTop || n.y(-12) != laneTop+laneHeight || n.y(-8) != laneTop+laneHeight/2 || n.y(0) != laneTop || n.y(-90) != laneTop+laneHeight {
		t.Errorf("%v %v %v", n.y(-4), n.y(-8), n.y(-12))
	}
	n.track(46, 28, -8, -10, true)
	n.track(74, 28, -8, -8.04, true) // less than can be seen
	n.track(102, 28, detect.None, -8, true)
	n.track(130, 28, -6, detect.None, true)
	n.finish()
	want := map[string]string{"bars": "M51 51l18 0 M79 51l18 0 M135 36l18 0", "thin": "M54 67l12 0", "moves": "M60 67l0 -16", "joins": "M51 51l18 0 10 0 18 0 M135 36l18 0"}
	got := map[string]string{"bars": n.Bars, "thin": n.Thin, "moves": n.Moves, "joins": n.Joins}
	for k := range got { // the pen writes no space where a minus parts two numbers
		got[k] = regexp.MustCompile(`(\d)-`).ReplaceAllString(got[k], "$1 -")
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	for _, c := range []struct {
		high, low float64
		want      []float64
	}{{35, 0, []float64{0, 10, 20, 30}}, {45, 0, []float64{0, 20, 40}}, {-4, -12, []float64{-12, -10, -8, -6, -4}}, {3, 0, []float64{0, 1, 2, 3}}, {175.5, 120.5, []float64{140, 160}}, {600, 0, []float64{0, 100, 200, 300, 400, 500, 600}}} {
		if d := cmp.Diff(c.want, laneTicks(c.high, c.low)); d != "" {
			t.Errorf("%v to %v: %s", c.low, c.high, d)
		}
	}
}

// TestOneMarkALane: what stands out twice in one lane is marked by what is gravest.
func TestOneMarkALane(t *testing.T) {
	var s stave
	s.flag(&setlist.Step{Flags: []setlist.Flag{{Quantity: setlist.Sub, Note: "a"}, {Quantity: setlist.JoinBass, Note: "b"}, {Quantity: setlist.JoinLevel, Note: "c"}, {Quantity: setlist.Level, Note: "d"}}}, 50)
	if len(s.Marks) != 2 || s.Marks[0].Note != "a" || s.Marks[1].Note != "c" || s.Marks[0].Y != "104" || s.Marks[1].Y != "20" {
		t.Errorf("%+v", s.Marks)
	}
}

// TestSpans: the lanes hold every figure of every track, and a level set looks level.
func TestSpans(t *testing.T) {
	for outlier := range 3 {
		high, low := spans(inOrder(t, 3, func(i int, t *library.Track) {
			if i == outlier {
				t.Loudness.Loudest30sLUFS, t.LowEnd.SubDB, t.LowEnd.BassDB, t.Measurement.Tempo.BPM = -20, -18, 6, 160
			}
		}))
		if !(low[levelLane] <= -20 && high[levelLane] >= -7 && low[lowLane] <= -18 && high[lowLane] >= 6 && high[tempoLane] >= 160 && low[tempoLane] <= 125) {
			t.Errorf("%d: %v to %v", outlier, low, high)
		}
	}
	high, low := spans(inOrder(t, 3, func(int, *library.Track) {}))
	if h, l := spans(inOrder(t, 3, func(_ int, t *library.Track) { t.Measurement.Tempo.BPM = detect.None })); h[tempoLane] != 5 || l[tempoLane] != -5 {
		t.Errorf("without tempi %v to %v", l[tempoLane], h[tempoLane])
	}
	// All at -7 LUFS: 6 LU about it, half a unit more on both sides, in whole units.
	if high[levelLane] != -3 || low[levelLane] != -11 {
		t.Errorf("%v to %v", low[levelLane], high[levelLane])
	}
}

// TestOctaves: 87 BPM is drawn beside 174.
func TestOctaves(t *testing.T) {
	r := inOrder(t, 3, func(i int, t *library.Track) {
		t.Measurement.Tempo.BPM = []detect.Value{174, 87, 172}[i]
	})
	for i, want := range []detect.Value{174, 174, 172} {
		if main, second := laneFigures(r, &r.Places[i]); main[tempoLane] != want || second[tempoLane] != want {
			t.Errorf("%d: %v, %v", i, main[tempoLane], second[tempoLane])
		}
	}
}

// TestOrderPageEscapes: names are text, in a page that has scripts and in one that has none.
func TestOrderPageEscapes(t *testing.T) {
	var b bytes.Buffer
	o := NewOrder(inOrder(t, 3, func(i int, t *library.Track) { t.Tags.Title = `<script>alert("x")</script>` }))
	if err := OrderPage(&b, o, Choose{Wrong: "<b>", Path: `"><i>`, Limit: "4 MB", Found: []Option{NewChoice("/a&b", "/a\u202eb", true)}}, Options{}); err != nil {
		t.Fatal(err)
	}
	html := b.String()
	if strings.Contains(html, "<script>alert") || strings.Contains(html, "<b>.") || strings.Contains(html, `"><i>`) || strings.Contains(html, "\u202e") {
		t.Error("text is taken for markup")
	}
	for _, want := range []string{"Running order: Friday &lt;1&gt;", `action="/order"`, `enctype="multipart/form-data"`, `data-rate="1.000000"`, `value="/a&amp;b" selected`, "/assets/order.js", "of 4 MB at most"} {
		if !strings.Contains(html, want) {
			t.Errorf("the page has no %q", want)
		}
	}
}

// TestReportWithOrder: a report shows the order without a request to anywhere, and nothing
// of it where there is none.
func TestReportWithOrder(t *testing.T) {
	tracks := madeup.Tracks(5)
	for _, o := range []*Order{nil, NewOrder(inOrder(t, 8, odd))} {
		var b bytes.Buffer
		if err := Report(&b, tracks, Options{Order: o}); err != nil {
			t.Fatal(err)
		}
		html := b.String()
		if has := strings.Contains(html, "Running order: Friday"); has != (o != nil) || strings.Contains(html, ".stave ") != (o != nil) {
			t.Errorf("order %v: shown %v", o != nil, has)
		}
		if strings.Contains(html, "Hear this step") || strings.Contains(html, `href="/track`) {
			t.Error("a report offers what takes a server")
		}
	}
}
