// Package decode opens a music file, whatever its format, as one type of
// stream: blocks of float32 samples with the rate, the channels and the source
// bit depth.
//
// The format is found from the content, never from the file's ending. Errors
// about the content are of three kinds (Unsupported, Damaged, Truncated); an
// error that is not an *Error came from the medium or the operating system.
// Files are only ever opened for reading.
package decode

import (
	"context"
	"fmt"
	"io"
	"os"

	"dubgauge/decode/aiff"
	"dubgauge/decode/flac"
	"dubgauge/decode/stream"
	"dubgauge/decode/wav"
)

// The types that decoders share; package stream documents them.
type (
	Stream = stream.Stream
	Info   = stream.Info
	Error  = stream.Error
	Kind   = stream.Kind
)

// The kinds of Error.
const (
	Unsupported = stream.Unsupported
	Damaged     = stream.Damaged
	Truncated   = stream.Truncated
)

// Open opens the file at path. Cancelling ctx stops an external decoder; our
// own decoders are stopped by no longer reading from them. The caller closes
// the stream, which closes the file.
func Open(ctx context.Context, path string) (Stream, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	fi, err := f.Stat()
	if err == nil && !fi.Mode().IsRegular() {
		err = fmt.Errorf("%s: not a regular file", path)
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	s, err := New(ctx, path, io.NewSectionReader(f, 0, fi.Size()))
	if err != nil {
		f.Close()
		return nil, err
	}
	return &fileStream{s, f}, nil
}

// fileStream closes the file together with its stream.
type fileStream struct {
	Stream
	file io.Closer
}

func (s *fileStream) Close() error {
	err := s.Stream.Close()
	if e := s.file.Close(); err == nil {
		err = e
	}
	return err
}

// New decodes what src holds. path names the file to an external decoder, for
// formats that are not decoded here; src is not closed.
func New(ctx context.Context, path string, src *io.SectionReader) (Stream, error) {
	if src.Size() == 0 {
		return nil, stream.Errorf(Damaged, "the file is empty")
	}
	start, err := skipID3(src)
	if err != nil {
		return nil, err
	}
	body := io.NewSectionReader(src, start, src.Size()-start)
	head, err := readHead(body)
	if err != nil {
		return nil, err
	}
	switch {
	case wav.Sniff(head):
		return wav.Open(body)
	case aiff.Sniff(head):
		return aiff.Open(body)
	case flac.Sniff(head):
		return flac.Open(body, flac.Options{})
	}
	return nil, stream.Errorf(Unsupported, "no audio format that is known here")
}
