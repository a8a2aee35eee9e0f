// Package stream holds what every decoder of dubgauge hands over: blocks of
// float32 samples, a description of the file they come from, and errors of
// three kinds.
//
// It lies below package decode so that the format packages (wav, aiff, flac,
// mp3, external) can share the types that decode.Open returns. Users of the
// decoders import package decode, which names the same types.
package stream

import (
	"fmt"
	"io"
)

// Info describes a stream. All fields but Frames are final when a decoder's
// Open returns.
type Info struct {
	// Format is the container as found in the content, never from the file
	// name: "wav", "aiff", "flac", "mp3", "m4a", "ogg", ...
	Format string
	// Codec names the coding: "pcm_s16", "pcm_u8", "pcm_f32", "alaw", "flac",
	// "mp3", ... PCM is written pcm_<s|u|f><bits>, whatever its byte order.
	Codec string
	// SampleRate is in hertz.
	SampleRate int
	// Channels is the number of channels of each block, 1 to 8.
	Channels int
	// BitDepth is that of the source in bits a sample, 0 for lossy codings.
	BitDepth int
	// BitrateKbps is the mean bit rate in kbit/s of compressed codings, 0 for
	// PCM and where it is not known.
	BitrateKbps int
	// Frames is the length in samples a channel, -1 when only decoding tells.
	Frames int64
	// ChannelMask says where each channel's loudspeaker stands, in the bits
	// of WAVEFORMATEXTENSIBLE's dwChannelMask; 0 when the file does not say.
	ChannelMask uint32
}

// Stream is a track being decoded. It is used by one goroutine.
type Stream interface {
	Info() Info
	// Read fills dst[c][0:n] for every channel c, full scale being 1, and
	// returns n, the samples a channel. All dst[c] have one length, which is
	// at least 1. Values beyond full scale are kept; every value is finite.
	// n may be less than asked. At the end, n is 0 and the error io.EOF; any
	// other error ends the stream too: an *Error when the content is to blame,
	// what the operating system said when the medium is. What was
	// returned before an error is good audio.
	Read(dst [][]float32) (n int, err error)
	// Faults lists what was wrong with the content so far and was got over:
	// skipped frames, a missing end, values that were not numbers. One of kind
	// Unsupported cost no music: the content is whole and was read, in a form
	// that other players may not cope with. Ordered by
	// place; bounded in number, the last one then saying how many more.
	Faults() []Error
	io.Closer
}

// Kind is one of the three ways in which content can be wrong.
type Kind int

const (
	// Unsupported content is whole but of a form that is not decoded here.
	Unsupported Kind = iota + 1
	// Damaged content breaks the rules of its format.
	Damaged
	// Truncated content stops before its declared end.
	Truncated
)

// String gives the name that the measurement record uses.
func (k Kind) String() string {
	switch k {
	case Unsupported:
		return "unsupported"
	case Damaged:
		return "damaged"
	case Truncated:
		return "truncated"
	}
	return fmt.Sprintf("Kind(%d)", int(k))
}

// Trouble says more closely what is wrong where the kind alone would call for a remedy
// that does not help.
type Trouble int

const (
	// WrongName is a name that promises another format than the content has.
	WrongName Trouble = iota + 1
	// NoEnd is content that may have been longer: nothing marks its end as one.
	NoEnd
	// WrongTag is a tag whose declared length leads past the music or short of it.
	WrongTag
)

// Error says what is wrong with a file's content and where. It does not name
// the file: whoever opened the file does.
type Error struct {
	Kind   Kind
	Detail string  // lower case, what was found and, if known, what was expected
	Offset int64   // byte offset in the file, -1 when it has no place
	At     float64 // seconds into the track, -1 when it has no place there
	Err    error   // cause, may be nil

	Trouble Trouble // 0 where the kind says enough
}

// Errorf makes an Error without a place.
func Errorf(kind Kind, format string, args ...any) *Error {
	return &Error{Kind: kind, Detail: fmt.Sprintf(format, args...), Offset: -1, At: -1}
}

// AtOffset returns e with the byte offset set.
func (e *Error) AtOffset(offset int64) *Error { e.Offset = offset; return e }

// AtTime returns e with the time in the track set, in seconds.
func (e *Error) AtTime(seconds float64) *Error { e.At = seconds; return e }

// Of returns e with the trouble set.
func (e *Error) Of(t Trouble) *Error { e.Trouble = t; return e }

func (e *Error) Error() string { return e.Kind.String() + ": " + e.Text() }

// Text is Error without the kind, for where that stands beside it.
func (e *Error) Text() string {
	s := e.Detail
	if e.At >= 0 {
		s += fmt.Sprintf(", at %.2f s", e.At)
	}
	if e.Offset >= 0 {
		s += fmt.Sprintf(", at byte %d", e.Offset)
	}
	if e.Err != nil {
		s += ": " + e.Err.Error()
	}
	return s
}

func (e *Error) Unwrap() error { return e.Err }
