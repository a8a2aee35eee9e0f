package pcm

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"dubgauge/decode/stream"
)

// The marks of a copy that stopped. A file system gives the file its whole length
// first and writes cluster by cluster, so that what was never written is zeros from a
// cluster's edge on to the end of the file.
const (
	// cluster is the least common one of FAT32, exFAT and NTFS, in bytes; all larger
	// ones are multiples. Music that ends by itself ends there once in a thousand times.
	cluster = 4096
	// edgeFrames is how many frames in front of the edge must sound.
	edgeFrames = 32
	// edgeLevel is what they must have on average: music that ends by itself has faded
	// below -40 dBFS when it turns into digital silence.
	edgeLevel = 0.01
)

// Stopped looks for a copy that stopped within the samples that lie in src from
// offset on, length bytes long, size being the file's: at a cluster's edge in the
// middle of the sound zeros begin that go on to the end of the file. It returns the
// fault, or nil. An error is the medium's.
func Stopped(src io.ReaderAt, f Format, channels, rate int, offset, length, size int64) (*stream.Error, error) {
	frame := int64(f.Bytes * channels)
	zero, err := zerosFrom(src, offset, size)
	if err != nil {
		return nil, err
	}
	if size-zero >= mostZeros {
		return nil, nil
	}
	edge := (zero + cluster - 1) / cluster * cluster
	first := offset + (edge-offset)/frame*frame - edgeFrames*frame // of the frames in front
	if edge-zero >= frame || offset+length-edge < cluster || first < offset {
		return nil, nil
	}
	b := make([]byte, edgeFrames*frame)
	if n, err := src.ReadAt(b, first); n < len(b) {
		return nil, fmt.Errorf("reading at byte %d: %w", first+int64(n), err)
	}
	x := make([]float32, edgeFrames*channels)
	f.kernel()(x, b, f.Bytes)
	sum := 0.0
	for _, v := range x {
		sum += math.Abs(float64(v))
	}
	if sum < edgeLevel*float64(len(x)) {
		return nil, nil
	}
	return stream.Errorf(stream.Truncated, "from a cluster's edge in the middle of the sound on there is nothing but zeros, %d bytes to the end of the file: the copy stopped there",
		size-edge).AtOffset(edge).AtTime(float64(edge-offset) / float64(frame) / float64(rate)), nil
}

// mostZeros bounds the zeros that are looked through, in bytes: 25 minutes of 16 bits
// in stereo at 44.1 kHz. What is silent for longer is so for the ear, too.
const mostZeros = 256 << 20

// nothing is what bytes are compared with: much faster than one by one.
var nothing [1 << 16]byte

// zerosFrom returns where the zeros begin that go on to size, from when they reach
// that far.
func zerosFrom(src io.ReaderAt, from, size int64) (int64, error) {
	b := make([]byte, cluster)
	from = max(from, size-mostZeros)
	for end := size; end > from; {
		at := max(end-int64(len(b)), from)
		part := b[:end-at]
		if n, err := src.ReadAt(part, at); n < len(part) {
			return 0, fmt.Errorf("reading at byte %d: %w", at+int64(n), err)
		}
		if !bytes.Equal(part, nothing[:len(part)]) {
			return at + int64(len(bytes.TrimRight(part, "\x00"))), nil
		}
		end = at
		if len(b) < len(nothing) {
			b = make([]byte, len(nothing))
		}
	}
	return from, nil
}
