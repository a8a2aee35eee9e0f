package aiff

import (
	"encoding/binary"
	"io"
	"math"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// common is what the COMM chunk says.
type common struct {
	channels int
	frames   uint32
	rate     int
	format   pcm.Format
	offset   int64 // of the chunk's body, for errors
}

const (
	commonAIFF = 18 // channels, frames, bits, rate
	commonAIFC = 22 // and the compression type
)

// parseCommon reads a COMM chunk. AIFF-C files of old that lack the compression
// type are read as plain AIFF.
func parseCommon(src io.ReaderAt, body, avail int64, compressed bool) (*common, error) {
	b, err := read(src, body, int(min(avail, commonAIFC)))
	if err != nil {
		return nil, err
	}
	if len(b) < commonAIFF {
		return nil, stream.Errorf(stream.Damaged, "a COMM chunk of %d bytes, at least %d expected", len(b), commonAIFF).AtOffset(body)
	}
	c := &common{channels: int(binary.BigEndian.Uint16(b)), frames: binary.BigEndian.Uint32(b[2:]), offset: body}
	rate, bad := extended(b[8:18])
	if bad != nil {
		return nil, bad.AtOffset(body + 8)
	}
	if bad := stream.CheckShape(rate, c.channels); bad != nil {
		return nil, bad.AtOffset(body)
	}
	c.rate = int(math.Round(rate))
	kind := "NONE"
	if compressed && len(b) >= commonAIFC {
		kind = string(b[18:22])
	}
	if c.format, bad = sample(kind, int(binary.BigEndian.Uint16(b[6:]))); bad != nil {
		return nil, bad.AtOffset(body)
	}
	return c, nil
}

// extended reads an 80-bit IEEE 754 number: sign and exponent (bias 16383) in 16
// bits, then the mantissa with its leading one written out.
//
//	mantissa · 2^(exponent - 16383 - 63)
func extended(b []byte) (float64, *stream.Error) {
	const (
		bias    = 16383
		special = 0x7fff // infinity or not a number
	)
	exponent := int(binary.BigEndian.Uint16(b)) & 0x7fff
	if exponent == special {
		return 0, stream.Errorf(stream.Damaged, "the sample rate is not a number")
	}
	v := math.Ldexp(float64(binary.BigEndian.Uint64(b[2:])), exponent-bias-63)
	if b[0]&0x80 != 0 {
		v = -v
	}
	return v, nil
}

// names of compression types that are not read here.
var compressions = map[string]string{
	"ima4": "IMA ADPCM", "MAC3": "MACE 3:1", "MAC6": "MACE 6:1", "GSM ": "GSM 6.10", "G722": "ITU G.722", "G726": "ITU G.726",
	"G728": "ITU G.728", "QDMC": "QDesign Music", "QDM2": "QDesign Music 2", "Qclp": "Qualcomm PureVoice", ".mp3": "MP3", "ADP4": "ADPCM 4:1",
	"DWVW": "delta with variable word width",
}

// sample describes a sample by compression type and declared bits.
func sample(kind string, bits int) (pcm.Format, *stream.Error) {
	p := pcm.Format{Bits: bits, Bytes: (bits + 7) / 8, BigEndian: true}
	switch kind {
	case "NONE", "twos", "TWOS":
	case "sowt", "SOWT":
		p.BigEndian = false
	case "raw ":
		p.Encoding = pcm.Unsigned
	case "fl32", "FL32":
		p.Encoding, p.Bits, p.Bytes = pcm.Float, 32, 4
	case "fl64", "FL64":
		p.Encoding, p.Bits, p.Bytes = pcm.Float, 64, 8
	case "in24":
		p.Bits, p.Bytes = 24, 3
	case "in32":
		p.Bits, p.Bytes = 32, 4
	case "42ni":
		p.Bits, p.Bytes, p.BigEndian = 24, 3, false
	case "23ni":
		p.Bits, p.Bytes, p.BigEndian = 32, 4, false
	case "alaw", "ALAW":
		p.Encoding, p.Bits, p.Bytes = pcm.ALaw, 8, 1
	case "ulaw", "ULAW":
		p.Encoding, p.Bits, p.Bytes = pcm.MuLaw, 8, 1
	default:
		if name, ok := compressions[kind]; ok {
			return p, stream.Errorf(stream.Unsupported, "%s in an AIFF-C file", name)
		}
		return p, stream.Errorf(stream.Unsupported, "compression type %q in an AIFF-C file", kind)
	}
	return p, p.Check()
}
