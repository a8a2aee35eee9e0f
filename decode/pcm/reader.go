package pcm

import (
	"errors"
	"fmt"
	"io"
	"math"

	"dubgauge/decode/stream"
)

// bufferBytes is how much is read at a time: enough to make system calls rare,
// little enough to stay in a core's cache.
const bufferBytes = 64 << 10

// Reader is the stream.Stream of uncompressed data.
type Reader struct {
	info    stream.Info
	src     io.ReaderAt
	begin   int64 // offset in src of the first sample
	next    int64 // offset in src of the first byte not yet in buf
	end     int64 // offset in src behind the last whole frame
	bytes   int   // a sample
	frame   int   // bytes a frame
	convert kernel
	buf     []byte
	pending []byte // what of buf is not yet handed out
	done    int64  // frames handed out
	faults  stream.FaultList
	bad     int64   // values that were not finite
	badAt   float64 // seconds, of the first of them
	err     error
}

// ToEnd as a length means as long as the source gives bytes.
const ToEnd = -1

// NewReader reads the samples that lie in src from offset on, length bytes long;
// a part of a frame at the end is left out. The rate, channels and container in
// info are the caller's, the rest is filled in. The faults are those found while
// reading the header. What src returns as an error comes through, wrapped.
func NewReader(info stream.Info, f Format, src io.ReaderAt, offset, length int64, faults []stream.Error) (*Reader, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	if err := stream.CheckShape(float64(info.SampleRate), info.Channels); err != nil {
		return nil, err
	}
	frame := f.Bytes * info.Channels
	info.Codec, info.BitDepth, info.Frames = f.Codec(), f.Bits, -1
	end := int64(math.MaxInt64)
	if length != ToEnd {
		info.Frames = length / int64(frame)
		end = offset + info.Frames*int64(frame)
	}
	r := &Reader{info: info, src: src, begin: offset, next: offset, end: end,
		bytes: f.Bytes, frame: frame, convert: f.kernel(), buf: make([]byte, bufferBytes/frame*frame)}
	for i := range faults {
		r.faults.Add(&faults[i])
	}
	return r, nil
}

// Info describes the stream; every field is final.
func (r *Reader) Info() stream.Info { return r.info }

// Read fills dst as stream.Stream says.
func (r *Reader) Read(dst [][]float32) (int, error) {
	if len(r.pending) == 0 && r.err == nil {
		r.err = r.fill()
	}
	if len(r.pending) == 0 {
		return 0, r.err
	}
	n := min(len(dst[0]), len(r.pending)/r.frame)
	for c := range r.info.Channels {
		bad, first := r.convert(dst[c][:n], r.pending[c*r.bytes:], r.frame)
		if bad > 0 {
			r.note(bad, first)
		}
	}
	r.pending = r.pending[n*r.frame:]
	r.done += int64(n)
	return n, nil
}

// fill reads ahead, whole frames only.
func (r *Reader) fill() error {
	want := min(int64(len(r.buf)), r.end-r.next)
	if want == 0 {
		return io.EOF
	}
	n, err := r.src.ReadAt(r.buf[:want], r.next)
	r.pending = r.buf[:n/r.frame*r.frame]
	at := r.next + int64(n)
	r.next += int64(len(r.pending))
	switch {
	case int64(n) == want:
		return nil
	case errors.Is(err, io.EOF) && r.info.Frames < 0:
		return io.EOF
	case errors.Is(err, io.EOF):
		r.faults.Add(stream.Errorf(stream.Truncated, "the file became shorter while it was read").AtOffset(at))
		return io.EOF
	}
	return fmt.Errorf("reading at byte %d: %w", at, err)
}

func (r *Reader) note(bad, first int) {
	at := float64(r.done+int64(first)) / float64(r.info.SampleRate)
	if r.bad == 0 || at < r.badAt {
		r.badAt = at
	}
	r.bad += int64(bad)
}

// Faults lists those of the header, then the values that were not numbers.
func (r *Reader) Faults() []stream.Error {
	list := r.faults.List()
	if r.bad > 0 {
		list = append(list, *stream.Errorf(stream.Damaged, "%d values that are not finite numbers, taken as 0", r.bad).AtTime(r.badAt))
	}
	return list
}

// Close does nothing: the source is the caller's.
func (r *Reader) Close() error { return nil }
