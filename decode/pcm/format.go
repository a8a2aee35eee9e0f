// Package pcm turns interleaved sample data, as WAV and AIFF files hold it, into
// planar float32.
//
// Integers of n bits are divided by 2^(n-1), so that full scale is 1. A sample
// stored in a container of more bits than it has is left-justified there, as the
// RIFF and AIFF texts say, so the container's width is the one that counts.
// Floats are taken as they are, above full scale too; values that are not finite
// become 0 and are counted. A-law and mu-law follow ITU-T G.711.
package pcm

import (
	"fmt"

	"dubgauge/decode/stream"
)

// Encoding is the way a sample is written.
type Encoding int

// The encodings.
const (
	Signed   Encoding = iota // two's complement
	Unsigned                 // offset binary
	Float                    // IEEE 754
	ALaw                     // ITU-T G.711 A-law
	MuLaw                    // ITU-T G.711 mu-law
)

// Format describes one sample.
type Format struct {
	Encoding  Encoding
	Bits      int // that carry sound, 1 to 8*Bytes
	Bytes     int // of the container
	BigEndian bool
	// Low says that 24 bits stand at the low end of 4 bytes instead of the high one.
	Low bool
}

// Codec names the format as stream.Info does.
func (f Format) Codec() string {
	switch f.Encoding {
	case ALaw:
		return "alaw"
	case MuLaw:
		return "ulaw"
	}
	return fmt.Sprintf("pcm_%c%d", "suf"[f.Encoding], f.Bits)
}

// Check says whether samples of that format are read here.
func (f Format) Check() *stream.Error {
	switch f.Encoding {
	case Float:
		if f.Bytes != 4 && f.Bytes != 8 || f.Bits != 8*f.Bytes {
			return stream.Errorf(stream.Unsupported, "floats of %d bits in %d bytes", f.Bits, f.Bytes)
		}
	case ALaw, MuLaw:
		if f.Bytes != 1 {
			return stream.Errorf(stream.Damaged, "%s samples of %d bytes", f.Codec(), f.Bytes)
		}
	default:
		if f.Bytes < 1 || f.Bytes > 4 || f.Bits < 1 || f.Bits > 8*f.Bytes {
			return stream.Errorf(stream.Unsupported, "integers of %d bits in %d bytes", f.Bits, f.Bytes)
		}
	}
	return nil
}
