package scan

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"unicode/utf8"

	"dubgauge/decode"
	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/library/tags"
	"dubgauge/library/track"
)

// Measure measures the file at path, which stands in the record as it was given
// (bytes that are no UTF-8 as \xNN). A file that cannot be measured, or not
// wholly, gives a record with Error set; the error is that of ctx only.
func Measure(ctx context.Context, path string) (track.Record, error) {
	r, _, err := measureFile(ctx, OS, path, decode.Options{}, nil)
	r.Path = path
	if f, ok := track.EndingFault(path, r.Measurement.File.Format); ok {
		r.Faults = append([]detect.Fault{f}, r.Faults...) // a scan holds the name that a file has then against its content
	}
	if !utf8.ValidString(path) {
		r.Path = track.EscapeInvalid(path)
	}
	return r, err
}

// measureFile also returns what the system or the medium said when they are to
// blame for the record's Error.
func measureFile(ctx context.Context, fsys FS, path string, o decode.Options, progress func(seconds float64)) (r track.Record, medium, err error) {
	r = track.Record{Measurement: detect.Empty()}
	if progress == nil {
		progress = func(float64) {}
	}
	// Nothing in a file may end a scan of ten thousand others.
	defer func() {
		if p := recover(); p != nil {
			r.Measurement = detect.Empty()
			r.Measurement.Error = &detect.Problem{Kind: reason.ProblemDamaged,
				Detail: fmt.Sprintf("dubgauge failed on this file (%v): please report it", p)}
		}
	}()
	f, fi, err := openRegular(fsys, path)
	if err == nil {
		defer f.Close()
		err = measureOpen(ctx, &r, path, io.NewSectionReader(f, 0, fi.Size()), o, progress)
		r.Measurement.File.SizeBytes = fi.Size()
	}
	if ctx.Err() != nil {
		return r, nil, ctx.Err()
	}
	var content *decode.Error
	switch {
	case err == nil:
	case errors.As(err, &content):
		if r.Measurement.Error == nil {
			r.Measurement.Error = &detect.Problem{Kind: reason.ProblemKind(content.Kind.String()), Detail: content.Text()}
		}
	default:
		medium = err
		r.Measurement.Error = &detect.Problem{Kind: reason.ProblemUnreadable, Detail: explainOS(err)}
	}
	return r, medium, nil
}

// errNoFile: there is something of that name that is no file.
var errNoFile = errors.New("is not a regular file")

// openRegular opens a file, and nothing that would block or is no file.
func openRegular(fsys FS, path string) (File, fs.FileInfo, error) {
	fi, err := fsys.Stat(path)
	if err != nil {
		return nil, nil, err
	}
	if fi.IsDir() {
		return nil, nil, fmt.Errorf("%w but a folder: a scan takes folders", errNoFile)
	}
	if !fi.Mode().IsRegular() {
		return nil, nil, errNoFile
	}
	f, err := fsys.Open(path)
	if err != nil {
		return nil, nil, err
	}
	return f, fi, nil
}

// measureOpen fills r from an open file; what was filled before an error is
// right.
func measureOpen(ctx context.Context, r *track.Record, path string, src *io.SectionReader, o decode.Options, progress func(float64)) error {
	s, err := decode.NewWith(ctx, path, src, o)
	if err != nil {
		r.Tags, _ = tags.Read(src, "")
		return err
	}
	defer s.Close()
	// Broken tags are no fault of the music, which then plays without them.
	var content *decode.Error
	if r.Tags, err = tags.Read(src, s.Info().Format); err != nil && !errors.As(err, &content) {
		return err
	}
	r.Measurement, err = detect.Analyze(ctx, s, src.Size(), progress)
	return err
}
