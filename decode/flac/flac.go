// Package flac reads FLAC files (RFC 9639) through mewkiz/flac.
package flac

import (
	"fmt"
	"io"

	mewkiz "github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"

	"dubgauge/decode/stream"
)

// Sniff says whether head, the first 4 bytes or more of a file, begins a FLAC file.
func Sniff(head []byte) bool { return len(head) >= 4 && string(head[:4]) == "fLaC" }

type reader struct {
	info  stream.Info
	dec   *mewkiz.Stream
	frame *frame.Frame
	pos   int
	err   error
}

// Open reads the header of the file that src holds from its first byte on.
func Open(src *io.SectionReader) (stream.Stream, error) {
	d, err := mewkiz.New(io.NewSectionReader(src, 0, src.Size()))
	if err != nil {
		return nil, stream.Errorf(stream.Damaged, "the FLAC header: %v", err)
	}
	frames := int64(d.Info.NSamples)
	if frames == 0 {
		frames = -1
	}
	r := &reader{dec: d, info: stream.Info{Format: "flac", Codec: "flac", SampleRate: int(d.Info.SampleRate),
		Channels: int(d.Info.NChannels), BitDepth: int(d.Info.BitsPerSample), Frames: frames}}
	if e := stream.CheckShape(float64(r.info.SampleRate), r.info.Channels); e != nil {
		return nil, e
	}
	return r, nil
}

func (r *reader) Info() stream.Info { return r.info }

func (r *reader) Read(dst [][]float32) (int, error) {
	if r.frame == nil && r.err == nil {
		r.err = r.next()
	}
	if r.err != nil {
		return 0, r.err
	}
	have := r.frame.Subframes[0].Samples[r.pos:]
	n := min(len(have), len(dst[0]))
	scale := 1 / float32(int64(1)<<(r.frame.BitsPerSample-1))
	for c, d := range dst {
		for i, v := range r.frame.Subframes[c].Samples[r.pos : r.pos+n] {
			d[i] = float32(v) * scale
		}
	}
	if r.pos += n; n == len(have) {
		r.frame = nil
	}
	return n, nil
}

func (r *reader) next() error {
	f, err := r.dec.Next()
	if err == io.EOF {
		return io.EOF
	}
	if err == nil {
		if f.BitsPerSample == 0 {
			f.BitsPerSample = uint8(r.info.BitDepth)
		}
		err = f.Parse()
	}
	if err == nil && len(f.Subframes) != r.info.Channels {
		err = fmt.Errorf("%d channels instead of %d", len(f.Subframes), r.info.Channels)
	}
	if err != nil {
		return stream.Errorf(stream.Damaged, "a FLAC frame: %v", err)
	}
	r.frame, r.pos = f, 0
	return nil
}

func (r *reader) Faults() []stream.Error { return nil }

func (r *reader) Close() error { return nil }
