package page

import (
	"bytes"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// advised is a library of which one track of the DJ's own has 9 dB too much at the bottom, as
// its verdict says.
func advised() ([]library.Track, *library.Track) {
	tracks := madeup.Tracks(60)
	own := &tracks[3]
	for b := range 8 {
		own.Spectrum.LoudestDB[b] += 9
	}
	in := true
	own.Verdict, own.Status = standout.Check, library.Unreleased
	own.Tone = []standout.Move{{Code: reason.LowEndHeavy, DB: 9, Filter: reason.LowShelf, Hz: 100}}
	own.Kick = &detect.Kick{OverBassDB: 2, DipDB: 5, BackAfterS: 0.1, SubNote: "G1", SubHz: 49, SubCents: 0, SubInKey: &in, SubUp: 0.5}
	return tracks, own
}

// TestAdviceOnThePage: the words and the dotted line stand on a track's own page and, in
// a report, with tracks that may still be changed; with released ones and with those
// that are ready the report has none.
func TestAdviceOnThePage(t *testing.T) {
	tracks, own := advised()
	var b bytes.Buffer
	if err := Single(&b, tracks, own, Options{}, Served{}); err != nil {
		t.Fatal(err)
	}
	for name, html := range map[string]string{"page": b.String(), "report": reportText(t, tracks)} {
		for _, want := range []string{"<b>Advice</b> ", "low shelf at", `href="#lm"`, "Dotted: with the moves of the advice.", "<b>Width</b> The channels were not compared",
			"<b>Kick and bass</b> Kick 2.0 dB over the bass", "The note most heard in the sub is G1"} {
			if !strings.Contains(html, want) {
				t.Errorf("the %s lacks %q", name, want)
			}
		}
	}
	for name, change := range map[string]func(){
		"released": func() { own.Status = library.Released },
		"ready":    func() { own.Status, own.Verdict = library.Unreleased, standout.Ready },
	} {
		change()
		for i := range tracks {
			if &tracks[i] != own {
				tracks[i].Verdict = standout.Ready
			}
		}
		html := reportText(t, tracks)
		if strings.Contains(html, "<b>Advice</b>") || strings.Contains(html, `href="#lm"`) {
			t.Errorf("a track that is %s has advice in the report", name)
		}
		b.Reset()
		if err := Single(&b, tracks, own, Options{}, Served{}); err != nil || !strings.Contains(b.String(), "<b>Advice</b>") {
			t.Errorf("a track that is %s has no advice on its own page: %v", name, err)
		}
	}
}

// TestWhoseAdvice: in a report, what is not ready and not released; of a large one the worst.
func TestWhoseAdvice(t *testing.T) {
	x := library.Track{}
	for _, status := range []library.Status{library.Unreleased, library.Unknown, library.Released} {
		for _, v := range []standout.Verdict{standout.Ready, standout.Check, standout.HoldBack} {
			x.Status, x.Verdict = status, v
			if got, want := ownMaster(&x), status != library.Released && v != standout.Ready; got != want {
				t.Errorf("%s, %s: %v", status, v, got)
			}
		}
	}
	if testing.Short() {
		t.Skip("lays out a large report")
	}
	tracks := madeup.Tracks(manyTracks + 1)
	own := 0
	for i := range tracks {
		if tracks[i].Status != library.Released {
			tracks[i].Verdict = standout.HoldBack
			own++
		}
	}
	rows := strings.Split(reportText(t, tracks), "<li class=\"row ")[1:]
	last, n := 0, 0
	for i, row := range rows {
		if strings.Contains(row, "<b>Advice</b>") {
			last, n = i, n+1
		}
	}
	if own <= mostAdvised || n != mostAdvised || last > 2*mostAdvised {
		t.Errorf("%d of %d masters have advice, the last in row %d; asked are the worst %d", n, own, last, mostAdvised)
	}
}

// TestMovedLine: the line of the moves lies where they take the spectrum, and where none
// is advised there is none.
func TestMovedLine(t *testing.T) {
	tracks, own := advised()
	g := newGroups(these(tracks), Options{})
	for _, moved := range []bool{true, false} {
		d, err := newDetail(own, g, allPoints)
		if err == nil {
			err = d.advise(own, g)
		}
		if err != nil || len(d.Advice) == 0 || (d.Spectrum.Moved != "") != moved || d.Spectrum.Moved == d.Spectrum.Line {
			t.Fatalf("%v, %+v, %s", err, d.Spectrum, d.Advice)
		}
		members, err := g.members(own.Members)
		if err != nil {
			t.Fatal(err)
		}
		own.Spectrum, own.Loudness.Loudest30sLUFS, own.Tone = members[0].Spectrum, members[0].Level, nil
		drawn, err := g.of(own)
		if err != nil {
			t.Fatal(err)
		}
		for b := range drawn.p50 { // the very middle of the group
			own.Spectrum.LoudestDB[b] = drawn.p50[b] + own.Loudness.Loudest30sLUFS
		}
	}
}
