// Package decode opens a music file, whatever its format, as one type of
// stream: blocks of float32 samples with the rate, the channels and the source
// bit depth.
//
// The format is found from the content, never from the file's ending. WAV, AIFF
// and FLAC have readers of our own in the packages below this one; what else an
// ffmpeg on the PATH can read goes through that. Errors about the content are of
// three kinds (Unsupported, Damaged, Truncated); an error that is not an *Error came
// from the medium or the operating system. Files are only ever opened for reading.
package decode

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"dubgauge/decode/aiff"
	"dubgauge/decode/external"
	"dubgauge/decode/flac"
	"dubgauge/decode/mp3"
	"dubgauge/decode/stream"
	"dubgauge/decode/wav"
)

// The types that decoders share; package stream documents them.
type (
	Stream       = stream.Stream
	Info         = stream.Info
	Error        = stream.Error
	Kind         = stream.Kind
	Verification = stream.Verification
)

// The kinds of Error.
const (
	Unsupported = stream.Unsupported
	Damaged     = stream.Damaged
	Truncated   = stream.Truncated
)

// How Verified can answer.
const (
	NotVerified = stream.NotVerified
	NoChecksum  = stream.NoChecksum
	Matches     = stream.Matches
	Differs     = stream.Differs
)

// Options change how a file is read. The zero value is the default.
type Options struct {
	// Verify compares the decoded samples with the checksum in the file, where
	// the format has one (FLAC). A difference becomes a fault of kind Damaged
	// when the end is reached; Verified tells how it came out.
	Verify bool
}

// Open opens the file at path. Cancelling ctx stops an external decoder; our
// own decoders are stopped by no longer reading from them. The caller closes
// the stream, which closes the file.
func Open(ctx context.Context, path string) (Stream, error) {
	return OpenWith(ctx, path, Options{})
}

// OpenWith is Open with options.
func OpenWith(ctx context.Context, path string, opts Options) (Stream, error) {
	fi, err := os.Stat(path)
	if err == nil && !fi.Mode().IsRegular() {
		err = fmt.Errorf("%s: not a regular file", path) // before a pipe or a device is opened, which could hang
	}
	if err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	if fi, err = f.Stat(); err != nil {
		f.Close()
		return nil, err
	}
	s, err := NewWith(ctx, path, io.NewSectionReader(f, 0, fi.Size()), opts)
	if err != nil {
		f.Close()
		return nil, err
	}
	return &fileStream{s, f}, nil
}

// New decodes what src holds. path names the file to an external decoder, for
// formats that are not decoded here; src is not closed.
func New(ctx context.Context, path string, src *io.SectionReader) (Stream, error) {
	return NewWith(ctx, path, src, Options{})
}

// NewWith is New with options.
func NewWith(ctx context.Context, path string, src *io.SectionReader, opts Options) (Stream, error) {
	if src.Size() == 0 {
		return nil, stream.Errorf(Damaged, "the file is empty")
	}
	start, err := skipID3(src)
	if err != nil {
		return nil, err
	}
	if start == src.Size() {
		return nil, stream.Errorf(Truncated, "the file ends behind its ID3v2 tag").AtOffset(start)
	}
	body := io.NewSectionReader(src, start, src.Size()-start)
	head, err := readHead(body)
	if err != nil {
		return nil, err
	}
	s, err := own(body, head, opts)
	if s != nil || err != nil {
		s, err = shift(s, err, start)
		return elseExternal(ctx, path, src.Size(), head, s, err)
	}
	if c, ok := external.Sniff(head); ok {
		return external.Open(ctx, path, src.Size(), c)
	}
	return last(body, head, start)
}

// last looks for MPEG audio, which has no mark at its head and may have junk
// before it, in what nothing else takes.
func last(body *io.SectionReader, head []byte, start int64) (Stream, error) {
	if err := known(head); err != nil {
		return nil, err
	}
	s, err := mp3.Open(body)
	var e *Error
	if errors.As(err, &e) && e.Kind == Damaged {
		return nil, refusal(head) // no frame anywhere: this is something else
	}
	return shift(s, err, start)
}

// own tries the readers of our own by their marks; both results are nil when none
// of them is in charge.
func own(body *io.SectionReader, head []byte, opts Options) (Stream, error) {
	switch {
	case wav.Sniff(head):
		return wav.Open(body)
	case aiff.Sniff(head):
		return aiff.Open(body)
	case flac.Sniff(head):
		return flac.Open(body, flac.Options{Verify: opts.Verify})
	}
	return nil, nil
}

// elseExternal lets ffmpeg try a WAV or AIFF file whose coding is not read here,
// and passes on what there is otherwise.
func elseExternal(ctx context.Context, path string, size int64, head []byte, s Stream, err error) (Stream, error) {
	var e *Error
	if !errors.As(err, &e) || e.Kind != Unsupported || !external.Available() {
		return s, err
	}
	c := external.WAV
	switch {
	case aiff.Sniff(head):
		c = external.AIFF
	case !wav.Sniff(head):
		return s, err
	}
	if other, failed := external.Open(ctx, path, size, c); failed == nil {
		return other, nil
	}
	return s, err
}
