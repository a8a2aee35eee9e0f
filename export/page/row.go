package page

import (
	"strings"

	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

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

func newRow(t *library.Track, p *page) row {
	trim := &t.Trim
	r := row{
		ID: t.ID, Name: words.Name(t), Path: words.Clean(t.Path), Codes: words.Clean(strings.Join(t.Reasons, ", ")), Sentence: words.Sentence(t),
		Verdict: words.Verdict(t), Class: class(t), Status: string(t.Status),
		Trim: words.Page.Signed(trim.SafeDB, 1), Info: infoWords(t),
		Mismatch: words.Data.Number(t.MismatchDB, 4), Low: words.Data.Number(words.Deviation(t, standout.LowEnd).DB, 4), Sub: words.Data.Number(words.Deviation(t, standout.Sub).DB, 4),
		BPM: words.Page.Number(words.Tempo(t), 1), Key: words.Clean(words.KeyName(t)),
		LevelAt: p.Level.places[t.ID], LowAt: p.LowEnd.places[t.ID], Ignored: t.Marks.Ignore, Missing: t.Missing(),
	}
	if trim.LimitingDB > 0 {
		r.Wanted = words.Page.Signed(trim.TrimDB, 1)
	}
	if t.Marks.Ignore {
		r.Trim, r.Wanted = "", ""
	}
	return r
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
