package store

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"dubgauge/library/track"
)

// Bounds on what is taken in from a file of records: a bad one may claim anything.
const (
	maxRecordLine = 1 << 20 // bytes; a record of ours has about 5 KB
	importBatch   = 200     // records that are stored at once
	maxProblems   = 1000    // bad lines that are named; the rest are only counted
)

// ImportRecords stores measurement records, one as JSON on each line, as tracks of the library root. A path is taken relative to root,
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
	place   Place
	report  Report
	unnamed int
	batch   []imported
}

type imported struct {
	file   *File
	record *track.Record
}

func (im *importer) run(ctx context.Context, root string, r io.Reader) error {
	abs, err := filepath.Abs(root)
	if err != nil {
		return fmt.Errorf("%s: %w", root, err)
	}
	if real, err := filepath.EvalSymlinks(abs); err == nil {
		abs = real
	}
	err = im.db.Write(ctx, func(tx *Tx) (err error) {
		im.place, err = tx.Place(abs)
		return err
	})
	if err != nil {
		return err
	}
	im.report.Roots = []string{im.place.Root}
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
	r.Path = f.Path
	im.batch = append(im.batch, imported{f, r})
	return nil
}

func (im *importer) flush(ctx context.Context) error {
	if len(im.batch) == 0 {
		return nil
	}
	err := im.db.Write(ctx, func(tx *Tx) error {
		for _, b := range im.batch {
			if err := tx.Put(b.file, b.record); err != nil {
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
