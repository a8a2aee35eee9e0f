// Package wav reads WAV files: RIFF, RIFX (big-endian), RF64 and BW64.
//
// Sources: "Multimedia Programming Interface and Data Specifications 1.0" (IBM and
// Microsoft, 1991) for RIFF, mmreg.h for the format tags, "Multiple channel audio
// data and WAVE files" (Microsoft) for WAVEFORMATEXTENSIBLE, EBU Tech 3306 for
// RF64, ITU-R BS.2088 for BW64.
//
// Chunks may come in any order. The file's own length caps every declared size; a
// data size that was never filled in means "to the end of the file". Codings other
// than PCM, float, A-law and mu-law are refused by name.
package wav

import (
	"encoding/binary"
	"errors"
	"io"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// Sniff says whether head, the first 12 bytes or more of a file, begins a WAV file.
func Sniff(head []byte) bool {
	if len(head) < 12 || string(head[8:12]) != "WAVE" {
		return false
	}
	switch string(head[:4]) {
	case "RIFF", "RIFX", "RF64", "BW64":
		return true
	}
	return false
}

// Open reads the header of the file that src holds from its first byte on. Errors
// about the content are *stream.Error.
func Open(src *io.SectionReader) (stream.Stream, error) {
	f := &file{src: src, order: binary.LittleEndian, size: src.Size()}
	head, err := f.read(0, 12)
	if err != nil {
		return nil, err
	}
	if !Sniff(head) {
		return nil, stream.Errorf(stream.Damaged, "not a WAV file").AtOffset(0)
	}
	if string(head[:4]) == "RIFX" {
		f.order = binary.BigEndian
	}
	l, err := f.walk(string(head[:4]) != "RIFF" && string(head[:4]) != "RIFX")
	if err != nil {
		return nil, err
	}
	return f.stream(l)
}

// layout is what was found on the walk through the chunks.
type layout struct {
	format    header
	hasFormat bool
	data      int64 // offset of the samples
	length    int64 // bytes of samples inside the file
	declared  int64 // bytes of samples as the file says
	wrapped   bool  // the size field was too small for the size, and only its lower part is there
	hasData   bool
	more      int64 // bytes in further data chunks
	moreAt    int64 // offset of the first of them
	long      ds64
	faults    []stream.Error
}

// maxChunks bounds the walk; files in the field have a few dozen chunks at most.
const maxChunks = 10_000

// walk goes through the chunks: until both format and data are known, then on
// through what are chunks, for further data. long says that 64-bit sizes may be given.
func (f *file) walk(long bool) (layout, error) {
	var l layout
	offset := int64(12)
	for range maxChunks {
		c, ok, err := f.chunkAt(offset)
		if err != nil {
			return l, err
		}
		if !ok || l.hasFormat && l.hasData && !knownIDs[c.id] {
			break
		}
		end := c.body + c.avail
		switch c.id {
		case "ds64":
			if long {
				l.long, err = f.parseDS64(c)
			}
		case "fmt ":
			if !l.hasFormat {
				l.format, err = f.parseFormat(c)
				l.hasFormat = err == nil
			}
		case "data":
			end, err = f.data(&l, c)
		default:
			end = min(c.body+l.long.sizeOf(c), f.size)
		}
		if err != nil {
			return l, err
		}
		if offset, err = f.after(end, (end-c.body)&1 == 1); err != nil {
			return l, err
		}
	}
	return l, nil
}

// stream builds the reader of the samples.
func (f *file) stream(l layout) (stream.Stream, error) {
	switch {
	case !l.hasFormat && !l.hasData:
		return nil, stream.Errorf(stream.Truncated, "neither a fmt nor a data chunk").AtOffset(f.size)
	case !l.hasFormat:
		return nil, stream.Errorf(stream.Damaged, "no fmt chunk").AtOffset(f.size)
	case !l.hasData:
		return nil, stream.Errorf(stream.Truncated, "no data chunk").AtOffset(f.size)
	}
	p, err := l.format.sample(f.order == binary.BigEndian)
	if err != nil {
		var coded *Coded
		if errors.As(err, &coded) {
			coded.Offset, coded.Length = l.data, l.length
		}
		return nil, err
	}
	if err := f.rightJustified(&l, &p); err != nil {
		return nil, err
	}
	frame := int64(p.Bytes * l.format.channels)
	if l.length < frame {
		return nil, stream.Errorf(stream.Truncated, "the data chunk holds no audio").AtOffset(l.data)
	}
	if err := f.check(&l, p, frame); err != nil {
		return nil, err
	}
	info := stream.Info{Format: "wav", SampleRate: int(l.format.rate), Channels: l.format.channels, ChannelMask: l.format.mask}
	r, err := pcm.NewReader(info, p, f.src, l.data, l.length, l.faults)
	var e *stream.Error
	if errors.As(err, &e) {
		return nil, e.AtOffset(l.format.offset)
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}
