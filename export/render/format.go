package render

import (
	"fmt"
	"io"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"dubgauge/library"
)

// Format is the form of a copy.
type Format string

// The formats. Both libraries carry 24 bits, which tests hold against flac and ffmpeg.
const (
	WAV  Format = "wav"
	FLAC Format = "flac"
)

// ParseFormat reads the name of a format.
func ParseFormat(s string) (Format, error) {
	if f := Format(s); f == WAV || f == FLAC {
		return f, nil
	}
	return "", fmt.Errorf("no such format as %q: it is wav or flac", s)
}

// wavMost is what of a WAV file's 32-bit sizes is left for sound, in bytes: a megabyte is
// for its tags.
const wavMost = 1<<32 - 1<<20

// encoder takes samples and writes a file.
type encoder interface {
	write(block [][]float32) error
	end() error
}

func newEncoder(f Format, w io.WriteSeeker, rate, channels int, q *quantiser, t *library.Track) (encoder, error) {
	if f == FLAC {
		return newFLAC(w, rate, channels, q, t)
	}
	return &wavEncoder{w: w, q: q, t: t, e: wav.NewEncoder(w, rate, bits, channels, 1),
		buf: audio.IntBuffer{Format: &audio.Format{NumChannels: channels, SampleRate: rate}, SourceBitDepth: bits}}, nil
}

// wavEncoder writes plain PCM: players that refuse other forms of WAV take it.
type wavEncoder struct {
	w   io.WriteSeeker
	q   *quantiser
	t   *library.Track
	e   *wav.Encoder
	buf audio.IntBuffer
}

func (e *wavEncoder) write(block [][]float32) error {
	e.buf.Data = e.buf.Data[:0]
	for i := range block[0] {
		for c := range block {
			e.buf.Data = append(e.buf.Data, int(e.q.value(block[c][i])))
		}
	}
	return e.e.Write(&e.buf)
}

func (e *wavEncoder) end() error {
	if err := e.e.Close(); err != nil {
		return err
	}
	return appendTags(e.w, e.t)
}

// blockSize of the FLAC files, in samples a channel; what the reference encoder takes.
const blockSize = 4096

// flacEncoder gathers blocks of one size.
type flacEncoder struct {
	e        *flac.Encoder
	q        *quantiser
	rate     int
	channels [][]int32
	frames   uint64
}

func newFLAC(w io.WriteSeeker, rate, channels int, q *quantiser, t *library.Track) (*flacEncoder, error) {
	info := &meta.StreamInfo{BlockSizeMin: blockSize, BlockSizeMax: blockSize, SampleRate: uint32(rate),
		NChannels: uint8(channels), BitsPerSample: bits}
	var blocks []*meta.Block
	if comments := comments(t); len(comments) > 0 {
		// The encoder works out the length itself, but leaves out a block of length 0.
		blocks = append(blocks, &meta.Block{Header: meta.Header{Type: meta.TypeVorbisComment, Length: 1},
			Body: &meta.VorbisComment{Vendor: "dubgauge", Tags: comments}})
	}
	e, err := flac.NewEncoder(w, info, blocks...)
	if err != nil {
		return nil, err
	}
	return &flacEncoder{e: e, q: q, rate: rate, channels: make([][]int32, channels)}, nil
}

func (e *flacEncoder) write(block [][]float32) error {
	for i := range block[0] {
		for c := range block {
			e.channels[c] = append(e.channels[c], e.q.value(block[c][i]))
		}
		if len(e.channels[0]) == blockSize {
			if err := e.frame(); err != nil {
				return err
			}
		}
	}
	return nil
}

// frame writes what is gathered. Verbatim leaves the choice of a prediction to the encoder.
func (e *flacEncoder) frame() error {
	n := len(e.channels[0])
	f := &frame.Frame{Header: frame.Header{HasFixedBlockSize: true, BlockSize: uint16(n), SampleRate: uint32(e.rate),
		Channels: frame.ChannelsMono, BitsPerSample: bits, Num: e.frames}}
	if len(e.channels) == 2 {
		f.Header.Channels = frame.ChannelsLR
	}
	for c, samples := range e.channels {
		f.Subframes = append(f.Subframes, &frame.Subframe{SubHeader: frame.SubHeader{Pred: frame.PredVerbatim}, Samples: samples, NSamples: n})
		e.channels[c] = samples[:0]
	}
	e.frames++
	return e.e.WriteFrame(f)
}

func (e *flacEncoder) end() error {
	if len(e.channels[0]) > 0 {
		if err := e.frame(); err != nil {
			return err
		}
	}
	return e.e.Close()
}
