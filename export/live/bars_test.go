package live

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"dubgauge/export/browser"
)

// barsAt evaluates an expression with what bars.js exports as B.
func barsAt[T any](t *testing.T, eval func(string) string, expression string) (v T) {
	t.Helper()
	text := eval(`(async () => { const B = await import('/assets/bars.js'); return JSON.stringify(` + expression + `); })()`)
	if err := json.Unmarshal([]byte(text), &v); err != nil {
		t.Fatalf("%s: %s: %v", expression, text, err)
	}
	return v
}

type loopPart struct{ From, Seconds, Bars float64 }

// sideWith is a track of so many seconds at a tempo, as the dock has it.
func sideWith(seconds, bpm, first, loudest float64) string {
	beat := "null"
	if bpm > 0 {
		beat = fmt.Sprintf(`{ bpm: %g, first: %g, bars: true }`, bpm, first)
	}
	return fmt.Sprintf(`{ seconds: %g, longest_s: 40, loudest_s: %g, beat: %s }`, seconds, loudest, beat)
}

// A bar of four beats lasts 240 / BPM seconds; sixteen of them at 120 BPM 32 s, at 160 24 s.
// What does not fit into the 40 s that are sent at once, or into the track, is halved.
func TestPartsAreWholeBars(t *testing.T) {
	ctx := browser.Tab(t)
	db, _ := bagged(t)
	visit(t, ctx, served(t, db, Options{}))
	eval := func(s string) string { return browser.Eval[string](t, ctx, s) }
	for _, c := range []struct {
		name  string
		side  string
		place float64
		near  bool
		want  loopPart
	}{
		{"from the bar line before", sideWith(300, 120, 0.5, 0), 61.9, false, loopPart{60.5, 32, 16}},
		{"from the nearest", sideWith(300, 120, 0.5, 0), 61.9, true, loopPart{62.5, 32, 16}},
		{"on a bar line", sideWith(300, 120, 0.5, 0), 60.5, false, loopPart{60.5, 32, 16}},
		{"faster", sideWith(300, 160, 0, 0), 100, false, loopPart{99, 24, 16}},
		{"never more than sixteen", sideWith(300, 240, 0, 0), 100.5, false, loopPart{100, 16, 16}},
		{"too slow for sixteen", sideWith(300, 80, 0, 0), 10, false, loopPart{9, 24, 8}},
		{"near the end the last that fits", sideWith(100, 120, 0, 0), 99, false, loopPart{68, 32, 16}},
		{"a short track", sideWith(20, 120, 0, 0), 3, false, loopPart{2, 16, 8}},
		{"room for one bar", sideWith(3, 120, 0, 0), 2.5, false, loopPart{0, 2, 1}},
		{"bars begin before the first that sounds", sideWith(300, 120, 100.5, 0), 1.2, false, loopPart{0.5, 32, 16}},
		{"before the first bar line", sideWith(300, 120, 1.5, 0), 0.2, false, loopPart{1.5, 32, 16}},
		{"too short for a bar", sideWith(1.5, 120, 0, 0), 1, false, loopPart{0, 1.5, 0}},
		{"no beat", sideWith(300, 0, 0, 0), 61.9, false, loopPart{61.9, 30, 0}},
		{"no beat, near the end", sideWith(300, 0, 0, 0), 290, false, loopPart{270, 30, 0}},
	} {
		got := barsAt[loopPart](t, eval, fmt.Sprintf(`B.partAt(%s, %g, 30, %v)`, c.side, c.place, c.near))
		if math.Abs(got.From-c.want.From) > 1e-9 || math.Abs(got.Seconds-c.want.Seconds) > 1e-9 || got.Bars != c.want.Bars {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}

	// Nothing is said to be in time that drifts: 16 bars at 126 BPM are 30.476 s; at 126.03
	// that is 7.3 ms out at the end, at 126.05 12.1 ms, at 128 0.48 s. Half the tempo keeps step.
	own := sideWith(300, 126, 0, 60)
	part := `B.partAt(` + own + `, 60, 30)`
	for _, c := range []struct {
		bpm    float64
		inTime bool
		says   string
	}{
		{126, true, "In time: their beats drift 1 ms"}, {126.03, true, "In time: their beats drift 8 ms"}, {126.05, false, "drift 0.01 s apart over 16 bars"},
		{128, false, "126.0 BPM and 128.0 BPM drift 0.48 s apart"}, {63, true, "In time"}, {252.03, true, "In time"}, {64, false, "Not in time"}, {0, false, "the beat of one of them is not sure"},
	} {
		other := sideWith(300, c.bpm, 0.25, 100)
		got := barsAt[struct {
			In   bool
			Part loopPart
			Says string
		}](t, eval, fmt.Sprintf(`(p => ({ In: B.keepsStep(%[1]s, %[2]s, p), Part: B.beside(%[1]s, %[2]s, p, 30), Says: B.stepWords(%[1]s, %[2]s, p) }))(%[3]s)`, own, other, part))
		if got.In != c.inTime || !strings.Contains(got.Says, c.says) || c.inTime != strings.HasPrefix(got.Says, "In time") {
			t.Errorf("126 beside %g BPM: in time %v, %q", c.bpm, got.In, got.Says)
		}
		length := 16 * 240.0 / 126
		if !c.inTime && c.bpm > 0 {
			length = 16 * 240 / c.bpm // its own bars
			if c.bpm < 100 {
				length /= 2
			}
		}
		if c.bpm == 0 {
			length = 30
		}
		if math.Abs(got.Part.Seconds-length) > 1e-9 {
			t.Errorf("126 beside %g BPM: the part has %g s, want %g", c.bpm, got.Part.Seconds, length)
		}
		if c.bpm > 0 {
			bar := 240 / c.bpm
			if off := math.Remainder(got.Part.From-0.25, bar); math.Abs(off) > 1e-9 {
				t.Errorf("126 beside %g BPM: it begins %g s off a bar line", c.bpm, off)
			}
		}
	}
	// Near its end a reference of twice the tempo, whose own sixteen bars are half as long, goes
	// back by whole bars until it has all of the part.
	late := barsAt[loopPart](t, eval, fmt.Sprintf(`B.beside(%s, %s, %s, 30)`, own, sideWith(300, 252, 0.25, 290), part))
	if off := math.Remainder(late.From-0.25, 240.0/252); late.From+late.Seconds > 300 || late.From+late.Seconds < 298 || math.Abs(off) > 1e-9 {
		t.Errorf("near its end the part is %+v, %g s off a bar line", late, off)
	}
	// Versions of one music play from one place when they are of one length.
	version := strings.Replace(sideWith(300.05, 0, 0, 100), "{", "{ version: true,", 1)
	if got := barsAt[loopPart](t, eval, fmt.Sprintf(`B.beside(%s, %s, %s, 30)`, own, version, part)); math.Abs(got.From-240.0/126*31) > 1e-9 {
		t.Errorf("a version plays from %g s", got.From) // the bar line before 60 s is the 31st
	}
	longer := strings.Replace(sideWith(310, 0, 0, 100), "{", "{ version: true,", 1)
	if got := barsAt[loopPart](t, eval, fmt.Sprintf(`B.beside(%s, %s, %s, 30)`, own, longer, part)); got.From != 100 {
		t.Errorf("a longer version plays from %g s", got.From)
	}
	// What is said of the part itself.
	for _, c := range []struct{ side, want string }{
		{own, "16 bars, repeated, from a bar line"}, {strings.Replace(own, "true", "false", 1), "from a beat: where its bars begin is not sure"},
		{sideWith(300, 0, 0, 60), "30 s, repeated: its beat is not sure enough for whole bars"},
	} {
		if got := barsAt[string](t, eval, fmt.Sprintf(`B.partWords(%[1]s, B.partAt(%[1]s, 60, 30))`, c.side)); !strings.Contains(got, c.want) {
			t.Errorf("of the part is said %q, want %q", got, c.want)
		}
	}
}

// A loop is as long as it should be: clicks half a second apart, repeated over two seconds of
// them, go on without a step.
func TestRepeatingKeepsTime(t *testing.T) {
	db, _ := scanned(t, []sound{{path: "Dubs/click edit.wav", rate: 44100, seconds: 8, click: true}, {path: "Records/click.wav", rate: 48000, seconds: 8, click: true}})
	x := named(t, db, "Dubs/click edit.wav")
	s := newStudio(t, db, x, named(t, db, "Records/click.wav"))
	s.part = "&from=1.25&len=2"
	at := clicksOf(s.render(7, `match('raw'); g.loud(0); g.hear(0, 0);`)[0])
	if len(at) != 14 {
		t.Fatalf("%d clicks in 7 s: %v", len(at), at)
	}
	for i, v := range at {
		if want := 0.25 + float64(i)*clickEvery; math.Abs(v-want) > 0.0001 {
			t.Errorf("click %d at %.5f s, want %.2f", i, v, want)
		}
	}
}

// clicksOf are the times of the clicks that are heard.
func clicksOf(x []float32) (at []float64) {
	for i, v := range x {
		if v > 0.05 && (len(at) == 0 || float64(i)/renderRate-at[len(at)-1] > 0.1) {
			at = append(at, float64(i)/renderRate)
		}
	}
	return at
}
