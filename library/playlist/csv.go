package playlist

import (
	"context"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
)

// columns of a CSV and what they are called. Root is that of the trim sheet: the folder
// that its paths are relative to.
var columns = map[string]column{
	"path": pathColumn, "title": titleColumn, "artist": artistColumn, "root": rootColumn,
	"duration_s": lengthColumn, "duration": lengthColumn, "length": lengthColumn,
}

type column int

const (
	pathColumn column = iota
	titleColumn
	artistColumn
	rootColumn
	lengthColumn
	columnCount
)

// separatorOf is what parts the cells of a header in which one is called path; 0 where
// none is.
func separatorOf(header string) rune {
	for _, sep := range ",;\t" {
		for cell := range strings.SplitSeq(header, string(sep)) {
			if columnName(cell) == "path" {
				return sep
			}
		}
	}
	return 0
}

// columnName is what a cell of the header calls its column.
func columnName(cell string) string {
	return strings.ToLower(strings.Trim(cell, "\" \t\n"))
}

// readCSV reads a table with a header.
func (l *List) readCSV(ctx context.Context, s string) error {
	header, _, _ := strings.Cut(strings.TrimLeft(s, " \t\n"), "\n")
	sep := separatorOf(header)
	if sep == 0 {
		return l.wrong(1, "no column of this table is called \"path\": name the one that has the files so")
	}
	in := csv.NewReader(strings.NewReader(s))
	in.Comma, in.FieldsPerRecord, in.ReuseRecord = sep, -1, true
	var where [columnCount]int
	for n := 0; ; n++ {
		if err := stopped(ctx, n); err != nil {
			return err
		}
		cells, err := in.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return l.badTable(err)
		}
		if n == 0 {
			where = places(cells)
			continue
		}
		line, _ := in.FieldPos(0)
		if err := l.row(cells, where, line); err != nil {
			return err
		}
	}
}

// places says where each column is; -1 where it is not. The first of a name counts.
func places(header []string) (where [columnCount]int) {
	for i := range where {
		where[i] = -1
	}
	for i, cell := range header {
		if c, known := columns[columnName(cell)]; known && where[c] < 0 {
			where[c] = i
		}
	}
	return where
}

func (l *List) badTable(err error) error {
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		return l.wrong(pe.Line, "the quotes of this row are wrong: a quote within a cell is written twice, and every one that opens is closed")
	}
	return err
}

// row reads one row.
func (l *List) row(cells []string, where [columnCount]int, line int) error {
	cell := func(c column) string {
		if i := where[c]; i >= 0 && i < len(cells) {
			return strings.Clone(strings.TrimSpace(fromCell(cells[i])))
		}
		return ""
	}
	e := Entry{Path: cell(pathColumn), Title: cell(titleColumn), Artist: cell(artistColumn), DurationS: math.NaN(), Line: line}
	if e.Path != "" {
		e.Path = place(e.Path)
	}
	if root := cell(rootColumn); root != "" && e.Path != "" && !absolute(e.Path) && !remote(e.Path) {
		e.Path = strings.TrimSuffix(place(root), "/") + "/" + e.Path
	}
	if text := cell(lengthColumn); text != "" {
		d, ok := seconds(text)
		if !ok {
			l.warn(line, "no length in seconds, or minutes and seconds, stands here: %.40q", text)
		}
		e.DurationS = d
	}
	return l.add(e)
}

// seconds reads "301.5", "301,5", "5:01" or "1:05:01".
func seconds(text string) (float64, bool) {
	total := 0.0
	parts := strings.Split(text, ":")
	if len(parts) > 3 {
		return math.NaN(), false
	}
	for _, p := range parts {
		v, err := strconv.ParseFloat(strings.Replace(p, ",", ".", 1), 64)
		if err != nil || v < 0 {
			return math.NaN(), false
		}
		total = 60*total + v
	}
	return total, true
}
