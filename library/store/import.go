package store

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"dubgauge/detect"
	"dubgauge/library/track"
)

// Bounds on what is taken in from a file of records: a bad one may claim anything.
const (
	maxRecordLine = 1 << 20 // bytes; a record of ours has about 13 KB, of 20 minutes 32 KB
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
	if err == nil {
		err = db.MatchTunes(ctx)
	}
	im.report.Elapsed = time.Since(start)
	return im.report, err
}

type importer struct {
	db      *DB
	place   Place
	report  Report
	unnamed int
}

// batch are some lines, and why there are no more.
type batch struct {
	lines []imported
	err   error
}

// imported is a line of records: what stands in it, or what is wrong with it.
type imported struct {
	number  int
	line    []byte
	entry   *entry
	failed  bool
	seconds detect.Value
	bad     string
}

// resolved is the absolute path of a folder that need not be there, without links where it is.
func resolved(dir string) (string, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "", fmt.Errorf("%s: %w", dir, err)
	}
	if real, err := filepath.EvalSymlinks(abs); err == nil {
		abs = real
	}
	return abs, nil
}

func (im *importer) run(ctx context.Context, root string, r io.Reader) error {
	abs, err := resolved(root)
	if err != nil {
		return err
	}
	err = im.db.Write(ctx, func(tx *Tx) (err error) {
		im.place, err = tx.Place(abs)
		return err
	})
	if err != nil {
		return err
	}
	im.report.Roots = []string{im.place.Root}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	batches := make(chan batch, 1) // one is read while the one before is stored
	go im.readAll(ctx, r, batches)
	for {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case b := <-batches:
			err := im.flush(ctx, b.lines)
			if err == nil {
				err = b.err
			}
			switch {
			case err == io.EOF:
				return nil
			case err != nil:
				return err
			}
		}
	}
}

// readAll hands the lines of r out in batches.
func (im *importer) readAll(ctx context.Context, r io.Reader, batches chan<- batch) {
	lines := bufio.NewReaderSize(r, 64<<10)
	for n := 1; ; {
		var b batch
		b, n = im.read(lines, n)
		select {
		case batches <- b:
		case <-ctx.Done():
			return
		}
		if b.err != nil {
			return
		}
	}
}

// read reads the next lines, from number n, and takes them apart, on all cores. It
// returns the number of the line behind them.
func (im *importer) read(lines *bufio.Reader, n int) (b batch, behind int) {
	for len(b.lines) < importBatch && b.err == nil {
		var line []byte
		var tooLong bool
		line, tooLong, b.err = readLine(lines)
		switch {
		case b.err != nil && b.err != io.EOF:
			b.err = fmt.Errorf("reading line %d of the records: %w", n, b.err)
		case tooLong:
			b.lines = append(b.lines, imported{number: n, bad: fmt.Sprintf("is longer than %d bytes: not a record", maxRecordLine)})
		case len(bytes.TrimSpace(line)) > 0:
			b.lines = append(b.lines, imported{number: n, line: line})
		}
		n++
	}
	next := make(chan *imported)
	var work sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		work.Go(func() {
			for one := range next {
				if e := im.take(one); e != nil {
					one.bad = e.Error()
				}
			}
		})
	}
	for i := range b.lines {
		if one := &b.lines[i]; one.bad == "" {
			next <- one
		}
	}
	close(next)
	work.Wait()
	return b, n
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

// take takes a line apart.
func (im *importer) take(b *imported) error {
	r, tail, err := parseRecord(b.line)
	if err != nil {
		return err
	}
	f, err := im.fileOf(r)
	if err != nil {
		return err
	}
	r.Path = f.Path
	text, err := recordText(r, tail)
	if err != nil {
		return err
	}
	b.line = nil
	b.failed, b.seconds = r.Error != nil, r.Measurement.File.DurationS
	b.entry, err = newEntry(f, r, text)
	return err
}

// recordText is the JSON of a record, of which tail is what comes behind its path where
// that is known.
func recordText(r *track.Record, tail []byte) ([]byte, error) {
	if tail == nil {
		return json.Marshal(r)
	}
	path, err := json.Marshal(r.Path)
	if err != nil {
		return nil, err
	}
	text := make([]byte, 0, len(track.StoredHead)+len(path)+len(tail))
	return append(append(append(text, track.StoredHead[:len(track.StoredHead)-1]...), path...), tail...), nil
}

// flush stores lines and counts them.
func (im *importer) flush(ctx context.Context, lines []imported) error {
	err := im.db.Write(ctx, func(tx *Tx) error {
		for _, b := range lines {
			if b.bad != "" {
				continue
			}
			if err := tx.put(b.entry); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	for _, b := range lines {
		if b.bad != "" {
			im.bad(b.number, b.bad)
			continue
		}
		im.report.Total++
		im.report.Measured++
		if b.failed {
			im.report.Failed++
		}
		if b.seconds.Exists() {
			im.report.AudioSeconds += float64(b.seconds)
		}
	}
	return nil
}
