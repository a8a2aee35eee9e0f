package library

import (
	"bufio"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// Bounds on what is taken in from a file of records. A record of ours has about
// 5 KB; a bad file may claim anything.
const (
	maxRecordLine = 1 << 20 // bytes
	maxText       = 1000    // characters of a text field
	maxList       = 1000    // bands, steps of the timeline, faults
	maxNumber     = 1e9     // nothing that is measured is larger, also in the negative
	importBatch   = 200     // records that are stored at once
	maxProblems   = 1000    // bad lines that are named; the rest are only counted
)

// ImportRecords stores measurement records, JSON Lines as `dubgauge measure`
// prints them, as tracks of the library root. A path is taken relative to root,
// or to the current folder when the file is there and lies in root, or as it is
// when absolute. Where the file is at hand and has the record's size, it
// counts as unchanged from now on; else the record stands by itself. A bad line
// is a problem with its number; the rest goes on.
func ImportRecords(ctx context.Context, db *DB, root string, r io.Reader) (Report, error) {
	start := time.Now()
	im := &importer{db: db, report: Report{Problems: []Problem{}}}
	err := im.run(ctx, root, r)
	if im.unnamed > 0 {
		im.report.Problems = append(im.report.Problems, Problem{"", fmt.Sprintf("and %d more lines", im.unnamed)})
	}
	im.report.Elapsed = time.Since(start)
	return im.report, err
}

type importer struct {
	db      *DB
	place   place
	report  Report
	unnamed int
	batch   []imported
}

type imported struct {
	file   *file
	record *Record
}

func (im *importer) run(ctx context.Context, root string, r io.Reader) error {
	abs, err := filepath.Abs(root)
	if err != nil {
		return fmt.Errorf("%s: %w", root, err)
	}
	if real, err := filepath.EvalSymlinks(abs); err == nil {
		abs = real
	}
	err = im.db.write(ctx, func(tx *sql.Tx) (err error) {
		im.place, err = im.db.place(ctx, tx, abs)
		return err
	})
	if err != nil {
		return err
	}
	im.report.Roots = []string{im.place.root}
	lines := bufio.NewReaderSize(r, 64<<10)
	for n := 1; ; n++ {
		if err := ctx.Err(); err != nil {
			return errors.Join(im.flush(context.WithoutCancel(ctx)), err)
		}
		line, tooLong, err := readLine(lines)
		if err != nil && err != io.EOF {
			return errors.Join(im.flush(ctx), fmt.Errorf("reading line %d of the records: %w", n, err))
		}
		switch {
		case tooLong:
			im.bad(n, fmt.Sprintf("is longer than %d bytes: not a record", maxRecordLine))
		case len(strings.TrimSpace(string(line))) > 0:
			if e := im.take(line); e != nil {
				im.bad(n, e.Error())
			}
		}
		if len(im.batch) >= importBatch || err == io.EOF {
			if e := im.flush(ctx); e != nil {
				return e
			}
		}
		if err == io.EOF {
			return nil
		}
	}
}

// readLine reads up to a newline; of a line that is too long it keeps nothing.
func readLine(r *bufio.Reader) (line []byte, tooLong bool, err error) {
	for {
		part, err := r.ReadSlice('\n')
		if len(line)+len(part) > maxRecordLine {
			tooLong, line = true, nil
		}
		if !tooLong {
			line = append(line, part...)
		}
		if err != bufio.ErrBufferFull {
			return line, tooLong, err
		}
	}
}

func (im *importer) bad(n int, detail string) {
	if len(im.report.Problems) >= maxProblems {
		im.unnamed++
		return
	}
	im.report.Problems = append(im.report.Problems, Problem{fmt.Sprintf("line %d", n), detail})
}

// take checks one line and queues it.
func (im *importer) take(line []byte) error {
	r, err := parseRecord(line)
	if err != nil {
		return err
	}
	f, err := im.fileOf(r)
	if err != nil {
		return err
	}
	r.Path = f.path
	im.batch = append(im.batch, imported{f, r})
	return nil
}

// parseRecord reads a record and checks that it could be one. What is missing
// does not exist, rather than being 0.
func parseRecord(line []byte) (*Record, error) {
	r := &Record{Measurement: detect.Empty()}
	if err := json.Unmarshal(line, r); err != nil {
		return nil, fmt.Errorf("is not a measurement record: %w", err)
	}
	if r.Path == "" {
		return nil, errors.New("is not a measurement record: it has no path")
	}
	if err := checkNumbers(r); err != nil {
		return nil, err
	}
	cleanRecord(r)
	return r, nil
}

// fileOf finds where the record's file belongs and, if it is here, what it is
// like now.
func (im *importer) fileOf(r *Record) (*file, error) {
	rel, err := im.relative(r.Path)
	if err != nil {
		return nil, err
	}
	f := &file{place: &im.place, rel: rel, path: shownPath(rel), size: r.Measurement.File.SizeBytes}
	fi, err := OS.Stat(f.disk())
	if err != nil {
		return f, nil
	}
	if fi.IsDir() {
		return nil, fmt.Errorf("%s: is a folder", r.Path)
	}
	if fi.Size() != f.size {
		return nil, fmt.Errorf("%s: the file has %d bytes, the record is of one with %d: measure it anew", r.Path, fi.Size(), f.size)
	}
	h, err := OS.Open(f.disk())
	if err != nil {
		return f, nil
	}
	defer h.Close()
	if content, err := contentOf(h, f.size); err == nil {
		f.content, f.mtime = content, fi.ModTime().UnixNano()
	}
	return f, nil
}

// relative is the path of a record within its root, as on the disk.
func (im *importer) relative(p string) (string, error) {
	if strings.ContainsRune(p, 0) {
		return "", errors.New("its path holds a NUL")
	}
	outside := fmt.Errorf("%s: does not lie in %s", cleanText(p), im.place.dir)
	if filepath.IsAbs(p) {
		return im.below(p, outside)
	}
	inRoot := filepath.Join(im.place.dir, filepath.FromSlash(p))
	if _, err := OS.Lstat(inRoot); err != nil {
		if abs, e := filepath.Abs(p); e == nil {
			if _, e := OS.Lstat(abs); e == nil {
				if rel, e := im.below(abs, outside); e == nil {
					return rel, nil
				}
			}
		}
	}
	return im.below(inRoot, outside)
}

func (im *importer) below(abs string, outside error) (string, error) {
	abs = filepath.Clean(abs)
	if real, err := filepath.EvalSymlinks(filepath.Dir(abs)); err == nil && isBelow(filepath.Join(real, filepath.Base(abs)), im.place.dir) {
		abs = filepath.Join(real, filepath.Base(abs))
	}
	if !isBelow(abs, im.place.dir) {
		return "", outside
	}
	rel, err := filepath.Rel(im.place.root, abs)
	if err != nil {
		return "", outside
	}
	return path.Clean(filepath.ToSlash(rel)), nil
}

func (im *importer) flush(ctx context.Context) error {
	if len(im.batch) == 0 {
		return nil
	}
	err := im.db.write(ctx, func(tx *sql.Tx) error {
		for _, b := range im.batch {
			if err := putRecord(ctx, tx, b.file, b.record); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, b := range im.batch {
		im.report.Total++
		im.report.Measured++
		if b.record.Error != nil {
			im.report.Failed++
		}
		if d := b.record.Measurement.File.DurationS; d.Exists() {
			im.report.AudioSeconds += float64(d)
		}
	}
	im.batch = im.batch[:0]
	return nil
}

// checkNumbers refuses figures that no measurement gives.
func checkNumbers(r *Record) error {
	var t Track
	t.Record = *r
	for _, c := range scalarColumns(&t) {
		if n, ok := c.field.(number); ok && n.v.Exists() && (*n.v > maxNumber || *n.v < -maxNumber) {
			return fmt.Errorf("%s is %g, which cannot be", c.name, float64(*n.v))
		}
	}
	f, s := &r.Measurement.File, &r.Spectrum
	switch {
	case f.SizeBytes < 0 || f.SampleRateHz < 0 || f.Channels < 0 || r.Peak.ClippedRuns < 0 || f.DurationS < 0:
		return errors.New("a size, rate, count or duration is negative")
	case len(s.CentreHz) > maxList || len(r.Loudness.TimelineLUFS) > maxList || len(r.Faults) > maxList:
		return fmt.Errorf("a list has more than %d entries", maxList)
	case len(s.LoudestDB) != len(s.CentreHz) || len(s.WholeDB) != len(s.CentreHz):
		return errors.New("the spectrum's lists differ in length")
	case r.Tags.Year < 0 || r.Tags.Year > 9999:
		return fmt.Errorf("the year is %d", r.Tags.Year)
	}
	kinds := []string{"unsupported", "damaged", "truncated", string(reason.ProblemUnreadable)}
	if r.Error != nil && !slices.Contains(kinds, string(r.Error.Kind)) {
		return fmt.Errorf("the error's kind is %q, not one of %s", cleanText(string(r.Error.Kind)), strings.Join(kinds, ", "))
	}
	return nil
}

// cleanRecord brings all text to the form that tags have here.
func cleanRecord(r *Record) {
	g, f := &r.Tags, &r.Measurement.File
	texts := []*string{&g.Title, &g.Artist, &g.Album, &g.Label, &g.CatalogueNumber, &g.ISRC, &g.Genre, &g.Comment, &g.Key,
		&f.Format, &f.Codec}
	if k := r.Measurement.Key; k != nil {
		texts = append(texts, &k.Name, &k.Tonic, &k.Mode, &k.RunnerUp)
	}
	for i := range r.Faults {
		texts = append(texts, &r.Faults[i].Kind, &r.Faults[i].Detail)
	}
	if r.Error != nil {
		texts = append(texts, &r.Error.Detail)
	}
	for _, s := range texts {
		*s = cleanText(*s)
	}
	if r.Faults == nil {
		r.Faults = []detect.Fault{}
	}
	for _, list := range []*[]detect.Value{&r.Loudness.TimelineLUFS, &r.Spectrum.LoudestDB, &r.Spectrum.WholeDB} {
		if *list == nil {
			*list = []detect.Value{}
		}
	}
	if r.Spectrum.CentreHz == nil {
		r.Spectrum.CentreHz = []float64{}
	}
}

// cleanText is valid UTF-8 in NFC on one line without control and direction
// characters, at most maxText characters.
func cleanText(s string) string {
	if len(s) > maxText*utf8.UTFMax {
		s = s[:maxText*utf8.UTFMax]
	}
	n := 0
	s = strings.Map(func(r rune) rune {
		if n++; n > maxText {
			return -1
		}
		if unicode.IsSpace(r) {
			return ' '
		}
		if !unicode.IsGraphic(r) {
			return -1
		}
		return r
	}, norm.NFC.String(strings.ToValidUTF8(s, string(utf8.RuneError))))
	return strings.TrimSpace(s)
}
