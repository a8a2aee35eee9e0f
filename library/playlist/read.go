package playlist

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"strings"

	"dubgauge/decode"
)

// ReadFile reads the list at path. Errors about the content are an *Error.
func ReadFile(ctx context.Context, path string) (List, error) {
	f, info, err := decode.OpenRegular(path)
	if err != nil {
		return List{}, err
	}
	defer f.Close()
	if info.Size() > MaxBytes {
		return List{}, tooLarge(path)
	}
	return Read(ctx, io.NewSectionReader(f, 0, MaxBytes+1), path)
}

// Read reads a list; name is what it is called, whose ending says the form where the
// content does not. Errors about the content are an *Error.
func Read(ctx context.Context, r io.Reader, name string) (List, error) {
	b, err := io.ReadAll(io.LimitReader(stoppable{ctx, r}, MaxBytes+1))
	if err != nil {
		return List{}, err
	}
	if len(b) > MaxBytes {
		return List{}, tooLarge(name)
	}
	s, ok := text(b)
	if !ok {
		return List{}, &Error{Name: name, Why: "this is no text, so no playlist of a form that is read (M3U, XSPF, CSV)"}
	}
	l := List{Name: name, Format: formatOf(s, name)}
	switch l.Format {
	case XSPF:
		err = l.readXSPF(ctx, s)
	case CSV:
		err = l.readCSV(ctx, s)
	default:
		err = l.readM3U(ctx, s)
	}
	if err != nil {
		return List{}, err
	}
	return l, nil
}

func tooLarge(name string) error {
	return &Error{Name: name, Why: "the list is larger than 32 MiB, which is as much as is read"}
}

// stoppable is a reader that fails once its context has ended.
type stoppable struct {
	ctx context.Context
	r   io.Reader
}

func (s stoppable) Read(b []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.r.Read(b)
}

// formatOf tells the form of a list by what it begins with, else by its name; what tells
// nothing is a list of paths.
func formatOf(s, name string) Format {
	head := strings.TrimLeft(s, " \t\n")
	line, _, _ := strings.Cut(head, "\n")
	switch {
	case strings.HasPrefix(head, "<"):
		return XSPF
	case strings.HasPrefix(head, "#EXTM3U"), strings.HasPrefix(head, "#EXTINF"):
		return M3U
	case len(line) <= maxLine && separatorOf(line) != 0:
		return CSV
	}
	switch strings.ToLower(filepath.Ext(name)) {
	case ".csv":
		return CSV
	case ".xspf":
		return XSPF
	}
	return M3U
}

// checkEvery is after how many entries it is looked whether somebody still waits.
const checkEvery = 1024

// stopped tells, now and then, that nobody waits any more.
func stopped(ctx context.Context, n int) error {
	if n%checkEvery == 0 {
		return ctx.Err()
	}
	return nil
}

// IsError gives what is wrong with a list, where err says that.
func IsError(err error) (*Error, bool) {
	var e *Error
	return e, errors.As(err, &e)
}
