package sheet

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/words"
)

// orderHeader is that of the ordered trim sheet: the columns of the trim sheet, then those
// of the order. set_trim_db levels the whole set; the steps are those from the track before,
// level_step_lu with these trims.
var orderHeader = append(slices.Clone(trimHeader),
	"place", "set_trim_db", "level_step_lu", "sub_step_db", "bass_step_db", "tempo_step_percent", "key_step", "flags", "found")

// OrderCSV writes the trim sheet of a list in playing order. A place whose track was not
// found has a row that says so.
func OrderCSV(w io.Writer, r *running.Order) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180, 2.1
	_ = c.Write(orderHeader)
	for i := range r.Places {
		_ = c.Write(orderRow(r, i))
	}
	c.Flush()
	return c.Error()
}

func orderRow(r *running.Order, i int) []string {
	p := &r.Places[i]
	var row []string
	if p.Track != nil {
		row = trimRow(p.Track)
	} else {
		row = make([]string, len(trimHeader))
		row[0], row[1], row[2] = cell(p.Entry.Path), cell(p.Entry.Title), cell(p.Entry.Artist)
	}
	row = append(row, strconv.Itoa(i+1), number(r.Trim(p), 1))
	row = append(row, stepCells(r.Step(p))...)
	return append(row, cell(words.Found(&p.Found)))
}

func stepCells(s *setlist.Step) []string {
	if s == nil {
		return make([]string, 6)
	}
	codes := make([]string, len(s.Flags))
	for i, f := range s.Flags {
		codes[i] = f.Code
	}
	return []string{
		number(s.Level.LevelledLU, 1), number(s.Sub.DB, 1), number(s.Bass.DB, 1), number(s.Tempo.Percent, 2),
		string(s.Key.Relation), cell(strings.Join(codes, "; ")),
	}
}
