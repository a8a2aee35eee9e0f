package page

import (
	"cmp"
	"html/template"
	"math"
	"strconv"
	"strings"

	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// row is one line of the list.
type row struct {
	ID                          int64
	Name, Path, Codes, Sentence string
	Verdict, Class, Status      string
	Trim                        string // at the mixer
	Baked                       string // in the file, where that is another
	Question                    bool   // more than a trim should be
	Info                        string
	Past, Mismatch, Low, Sub    string // numbers, to order by
	LevelOff, LowOff            string // by how much it is off, in LU and dB
	LevelOut, LowOut            bool   // and that it stands out by it
	Plays                       bool   // there is something to listen to
	BPM, Key                    string
	Ignored                     bool
	Missing                     bool
	Live                        bool   // has a page of its own
	Sheet                       string // what heads the printed page that begins with this row
	Detail                      *detail
	HTML                        template.HTML // the row as it was written before
}

func newRow(t *library.Track, p *page) row {
	r := row{
		ID: t.ID, Name: words.Name(t), Path: words.Clean(p.sticks.Place(t)), Codes: words.Clean(strings.Join(t.Reasons, ", ")), Sentence: words.Sentence(t),
		Verdict: words.Verdict(t), Class: class(t), Status: string(t.Status),
		Trim: words.Page.Trim(t), Question: words.Questioned(t), Info: infoWords(t),
		Past: words.Data.Number(t.Past, 4), Mismatch: words.Data.Number(t.MismatchDB, 4), Low: words.Data.Number(words.Deviation(t, standout.LowEnd).DB, 4), Sub: words.Data.Number(words.Deviation(t, standout.Sub).DB, 4),
		LevelOff: words.Page.Signed(t.MismatchDB, 1), LowOff: words.Page.LowPart(t, standout.LowEnd),
		LevelOut: words.StandsOut(t, standout.Level), LowOut: words.StandsOut(t, standout.LowEnd),
		Plays: p.Live && t.Loudness.Loudest30sLUFS.Exists() && !t.Missing(),
		BPM:   words.Page.Number(words.Tempo(t), 1), Key: words.Clean(words.KeyName(t)),
		Ignored: t.Marks.Ignore, Missing: t.Missing(), Live: p.Live,
	}
	if words.BakedLess(t) && !r.Question {
		r.Baked = cmp.Or(words.Page.Signed(t.Trim.SafeDB, 1), "none")
	}
	if t.Marks.Ignore {
		r.Trim, r.Baked, r.Question, r.LevelOff, r.LowOff = "", "", false, "", ""
	}
	return r
}

// nearly is how far apart figures by which rows are ordered may lie, in dB, that count as the
// same: half of what is written. One mark moves those of hundreds of tracks by less.
const nearly = 0.05

// shows tells that a row shows what another does.
func (r row) shows(o row) bool {
	for _, x := range [][2]*string{{&r.Past, &o.Past}, {&r.Mismatch, &o.Mismatch}, {&r.Low, &o.Low}, {&r.Sub, &o.Sub}} {
		a, err := strconv.ParseFloat(*x[0], 64)
		b, err2 := strconv.ParseFloat(*x[1], 64)
		if err == nil && err2 == nil && math.Abs(a-b) < nearly {
			*x[1] = *x[0]
		}
	}
	return r == o
}

// ignored is the class of a track that is left out.
const ignored = "ignored"

// class is the verdict as a name for the style sheet.
func class(t *library.Track) string {
	if t.Marks.Ignore {
		return ignored
	}
	return classOf(t.Verdict)
}

func classOf(v standout.Verdict) string { return strings.ReplaceAll(string(v), " ", "-") }

// infoWords is what the small print of a row says beside the status.
func infoWords(t *library.Track) string {
	if t.Marks.Reference {
		return ", named as a reference"
	}
	return ""
}
