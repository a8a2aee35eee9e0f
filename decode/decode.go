// Package decode opens a music file, whatever its format, as one type of
// stream: blocks of float32 samples with the rate, the channels and the source
// bit depth.
//
// The format is found from the content, never from the file's ending. WAV, AIFF, FLAC
// and MP3 have readers of our own in the packages below this one; what else an
// ffmpeg on the PATH can read goes through that. Errors about the content are of
// three kinds (Unsupported, Damaged, Truncated); an error that is not an *Error came
// from the medium or the operating system. Files are only ever opened for reading.
package decode

import (
	"context"
	"errors"
	"io"
	"io/fs"
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
	f, fi, err := stream.OpenRegular(path)
	if err != nil {
		return nil, err
	}
	s, err := NewWith(ctx, path, io.NewSectionReader(f, 0, fi.Size()), opts)
	if err != nil {
		f.Close()
		return nil, err
	}
	return &fileStream{s, f}, nil
}

// OpenRegular opens a file for reading and nothing else, without ever blocking; package
// stream documents it.
func OpenRegular(path string) (*os.File, fs.FileInfo, error) { return stream.OpenRegular(path) }

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
	f := file{ctx, path, src, opts}
	for _, try := range []func(int64) (Stream, error){f.at, f.behindWrongID3, f.mpeg} {
		if s, err := try(start); s != nil || err != nil {
			return s, err
		}
	}
	return nil, refusal(src, start)
}

// file is what there is to open. The methods that try a kind of format return
// neither a stream nor an error when the file is none of that kind.
type file struct {
	ctx  context.Context
	path string
	src  *io.SectionReader
	opts Options
}

// at opens the formats that have a mark at their head, the file beginning at byte
// start.
func (f file) at(start int64) (Stream, error) {
	body := io.NewSectionReader(f.src, start, f.src.Size()-start)
	head, err := readHead(body)
	if err != nil {
		return nil, err
	}
	switch {
	case wav.Sniff(head):
		s, err := wav.Open(body)
		var coded *wav.Coded
		if errors.As(err, &coded) && coded.Tag == wav.TagMP3 {
			return mp3InWAV(body, coded, start)
		}
		s, err = shift(s, err, start)
		return f.orExternal(s, err, external.WAV)
	case aiff.Sniff(head):
		s, err := aiff.Open(body)
		s, err = shift(s, err, start)
		return f.orExternal(s, err, external.AIFF)
	case flac.Sniff(head):
		s, err := flac.Open(body, flac.Options{Verify: f.opts.Verify})
		return shift(s, err, start)
	}
	if c, ok := external.Sniff(head); ok {
		return external.Open(f.ctx, f.path, f.src.Size(), c)
	}
	return nil, known(head)
}

// orExternal lets ffmpeg try a coding that is not read here, and passes on what
// there is otherwise.
func (f file) orExternal(s Stream, err error, c external.Container) (Stream, error) {
	var e *Error
	if !errors.As(err, &e) || e.Kind != Unsupported || !external.Available() {
		return s, err
	}
	if other, failed := external.Open(f.ctx, f.path, f.src.Size(), c); failed == nil {
		return other, nil
	}
	return s, err
}

// mp3InWAV opens the MP3 stream that a WAV file's data chunk holds.
func mp3InWAV(body *io.SectionReader, coded *wav.Coded, start int64) (Stream, error) {
	s, err := mp3.Open(io.NewSectionReader(body, coded.Offset, coded.Length))
	if err != nil {
		return shift(nil, err, start+coded.Offset)
	}
	s, _ = shift(s, nil, start+coded.Offset)
	fault := stream.Errorf(Unsupported, "MP3 in a WAV file, which many players refuse or play as noise").AtOffset(start)
	return &faulty{&contained{s, "wav"}, *fault}, nil
}

// behindWrongID3 is at for files whose ID3v2 tag declares a wrong length.
func (f file) behindWrongID3(int64) (Stream, error) {
	start, err := behindWrongID3(f.src)
	if start == 0 || err != nil {
		return nil, err
	}
	s, err := f.at(start)
	if s == nil {
		return nil, err
	}
	fault := stream.Errorf(Unsupported, "the ID3v2 tag declares a wrong length: some players do not find the music behind it").AtOffset(6).AtTime(0).Of(stream.WrongTag)
	return &faulty{s, *fault}, nil
}

// mpeg looks for MPEG audio, which has no mark at its head and may have junk
// before it, in what nothing else takes. Where there is no frame anywhere, the file
// is something else.
func (f file) mpeg(int64) (Stream, error) {
	s, err := mp3.Open(f.src) // with the tag, whose length may be wrong
	var e *Error
	if errors.As(err, &e) && e.Kind == Damaged {
		return nil, nil
	}
	return f.orExternal(s, err, external.MPEG)
}
