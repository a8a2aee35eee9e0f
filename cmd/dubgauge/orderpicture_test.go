package main

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/library"
)

// pictured is a set of n tracks at 120 BPM and -8 LUFS, of which the third stands out in all.
func pictured(n int) *setlist.Set {
	tracks := make([]setlist.Track, n)
	for i := range tracks {
		t := &tracks[i]
		t.Place, t.BPM, t.EndBPM, t.TempoConfidence, t.TrimDB = i+1, 120, 120, 1, 0
		t.Loudest = setlist.Part{LUFS: -8, SubDB: -3, BassDB: 1, Covered: 1}
		if i == 2 {
			t.BPM, t.EndBPM, t.TrimDB = 132, 132, 6
			t.Loudest.LUFS, t.Loudest.SubDB = -14, -9
		}
		t.Start, t.End = t.Loudest, t.Loudest
	}
	s := setlist.Check(tracks, setlist.Options{})
	return &s
}

// TestOrderPicture: rows are a third of what is spanned, labelled by their middles: levels from
// -14 to -8 are rows of 2 LU, the low end from -9 to 1 rows of 3.3 dB, tempi rows of 4 BPM.
func TestOrderPicture(t *testing.T) {
	want := []string{
		"",
		"   #            1   2   3   4   5   6",
		"  -9.0 LUFS     o   o   +   o   o   o",
		" -11.0",
		" -13.0                  o",
		" level                  !   !",
		"  -0.7 dB       b   b   b   b   b   b",
		"  -4.0          s   s       s   s   s",
		"  -7.3                  s",
		" low end                !   !",
		" 130.0 BPM              o",
		" 126.0",
		" 122.0          o   o       o   o   o",
		" tempo                  !   !",
		"Level: o the file, + with its trim. Low end: s sub, b bass. ! stands out.",
	}
	got := orderPicture(pictured(6), 100)
	for i := range got {
		got[i] = strings.TrimRight(got[i], " ")
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	// What hardly changes is drawn to a scale of its own, of 3 LU, 3 dB and 4 BPM at least.
	flat := orderPicture(pictured(2), 100)
	for row, label := range map[int]string{2: "  -7.0 LUFS", 3: "  -8.0 ", 4: "  -9.0 ", 5: "   0.3 dB", 7: "  -2.3 ", 8: " 121.3 BPM", 9: " 120.0 "} {
		if !strings.HasPrefix(flat[row], label) {
			t.Errorf("row %d of two like tracks: %q, want %q", row, flat[row], label)
		}
	}
	nought := pictured(2)
	for i := range nought.Tracks {
		nought.Tracks[i].Loudest.SubDB, nought.Tracks[i].Loudest.BassDB = -0.02, -0.02
	}
	if row := orderPicture(nought, 100)[6]; !strings.HasPrefix(row, "   0.0 ") {
		t.Errorf("the middle of -0.02 dB: %q, want 0.0 without a sign", row)
	}
	// A sub that is far under the music is none: it would press all others into one row.
	none := pictured(2)
	none.Tracks[1].Loudest.SubDB, none.Tracks[1].Loudest.BassDB = -85, -60
	if p := orderPicture(none, 100); !strings.HasPrefix(p[7], " -16.5 ") || !strings.HasSuffix(p[7], "s") {
		t.Errorf("next to no low end: %q, want it in the last row, whose middle is a sixth of the way from -20 to +1 dB", p[7])
	}
	narrow := pictured(2) // 2.5 dB, drawn to a scale of 3
	for i := range narrow.Tracks {
		narrow.Tracks[i].Loudest.SubDB = -1.5
	}
	if p := orderPicture(narrow, 100); !strings.HasPrefix(p[5], "   0.8 dB") || !strings.HasPrefix(p[7], "  -1.3 ") {
		t.Errorf("2.5 dB of low end: %q and %q", p[5], p[7])
	}
	if orderPicture(pictured(0), 100) != nil {
		t.Error("a picture of nothing")
	}
}

// TestOrderPictureKeepsToTheWidth: of many tracks, several have one column.
func TestOrderPictureKeepsToTheWidth(t *testing.T) {
	for _, n := range []int{1, 30, 87, 200, 1000} {
		for _, width := range []int{40, 80, 100} {
			lines := orderPicture(pictured(n), width)
			for _, l := range lines[:len(lines)-1] {
				if len(l) > width {
					t.Fatalf("%d tracks in %d columns: a line of %d", n, width, len(l))
				}
			}
		}
	}
	flat := setlist.Check([]setlist.Track{{Loudest: setlist.Part{LUFS: detect.None, SubDB: detect.None, BassDB: detect.None}, BPM: detect.None}}, setlist.Options{})
	if got := orderPicture(&flat, 80); len(got) != 3 {
		t.Errorf("a track without figures: %q", got)
	}
}

// TestManyStepsAreFew: of a list that is longer than a screen only what stands out is printed;
// records that are older than the ends say so; a narrow terminal has fewer columns.
func TestManyStepsAreFew(t *testing.T) {
	var tracks []*library.Track
	for i := range 60 {
		x := &library.Track{ID: int64(i + 1)}
		x.Path = fmt.Sprintf("%02d.wav", i+1)
		x.Measurement = detect.Empty()
		x.Loudness.Loudest30sLUFS, x.Trim.TrimDB = -8, 0
		if i == 30 {
			x.Loudness.Loudest30sLUFS = -13
		}
		tracks = append(tracks, x)
	}
	r, err := running.Of("", tracks, running.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for range missingShown + 9 {
		r.Places = append(r.Places, running.Place{At: -1})
	}
	for _, width := range []int{0, 80} {
		var out bytes.Buffer
		a := &app{out: &out, term: terminal{width: width}}
		a.printOrder(r, r, nil, setlist.Limits{})
		text := out.String()
		for _, part := range []string{"Of the library, 60 tracks", "!  31", "!  32", "58 tracks without anything that stands out left out", "\n9 more not found\n",
			"The first and last minute of 60 tracks were not measured: the loudest 30 s stand in"} {
			if !strings.Contains(strings.Join(strings.Fields(text), " "), strings.Join(strings.Fields(part), " ")) || strings.Count(text, "\n?") != missingShown {
				t.Errorf("%d columns: no %q in\n%s", width, part, text)
			}
		}
		if strings.Contains(text, "   1  ") && strings.Contains(text, " 01.wav") {
			t.Errorf("a step that does not stand out is printed:\n%s", text)
		}
		if has := strings.Contains(text, "join"); has != (width == 0) {
			t.Errorf("%d columns: join is shown: %v", width, has)
		}
		for _, l := range strings.Split(text, "\n") {
			if width > 0 && strings.HasPrefix(l, "!") && len([]rune(l)) > width {
				t.Errorf("a line of %d characters: %q", len(l), l)
			}
		}
	}
}

// TestJoinStep: what is not known is not doubtful as well.
func TestJoinStep(t *testing.T) {
	for _, c := range []struct {
		lu, confidence detect.Value
		want           string
	}{{detect.None, 0, "-"}, {1.24, 0, "+1.2?"}, {-1.26, 1, "-1.3"}} {
		if got := joinStep(&setlist.Step{JoinLevel: setlist.LevelStep{LevelledLU: c.lu, Confidence: c.confidence}}); got != c.want {
			t.Errorf("%g LU, %g sure: %q, want %q", c.lu, c.confidence, got, c.want)
		}
	}
}

// TestSteps: a level, a tempo or a key alone is enough for a step to be told.
func TestSteps(t *testing.T) {
	for name, set := range map[string]func(m *detect.Measurement){
		"level": func(m *detect.Measurement) { m.Loudness.Loudest30sLUFS = -9 },
		"tempo": func(m *detect.Measurement) { m.Tempo.BPM = 128 },
		"key":   func(m *detect.Measurement) { m.Key = &detect.Key{Name: "A minor"} },
	} {
		x := &library.Track{}
		if x.Measurement = detect.Empty(); steps(x) {
			t.Error("a step from nothing")
		}
		if set(&x.Measurement); !steps(x) {
			t.Errorf("no step by the %s", name)
		}
	}
}
