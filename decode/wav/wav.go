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
	"bytes"
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
	hasData   bool
	long      ds64
	faults    []stream.Error
}

// walk goes through the chunks until both format and data are known. long says
// that 64-bit sizes may be given.
func (f *file) walk(long bool) (layout, error) {
	var l layout
	for offset := int64(12); !l.hasFormat || !l.hasData; {
		c, ok, err := f.chunkAt(offset)
		if err != nil {
			return l, err
		}
		if !ok {
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

// data notes the samples' place and returns where the chunk ends.
func (f *file) data(l *layout, c chunk) (end int64, err error) {
	rest := f.size - c.body
	size := l.long.dataSize(c)
	if size == 0 {
		empty, err := f.followed(c.body)
		if err != nil || empty {
			return c.body, err
		}
		size = rest
	}
	if streamed(c.size) && size == int64(c.size) && size > rest {
		size = rest
	}
	if size == rest && streamed(c.size) || c.size == 0 {
		if size, err = f.beforeTags(c.body); err != nil {
			return 0, err
		}
	}
	end = c.body + min(size, rest)
	if l.hasData {
		return end, nil
	}
	l.hasData, l.data, l.length = true, c.body, end-c.body
	if size > rest {
		l.faults = append(l.faults, *stream.Errorf(stream.Truncated,
			"the data chunk declares %d bytes, %d are there", size, rest).AtOffset(f.size))
	}
	return end, nil
}

// beforeTags returns the bytes of samples from body on when only the end of the file
// bounds them: up to it, or up to chunks of tags that a program put there later.
func (f *file) beforeTags(body int64) (int64, error) {
	const farthest = 1 << 20 // bytes from the end; larger tags are rare in WAV
	from := max(body, f.size-farthest)
	b, err := f.read(from, int(f.size-from))
	if err != nil {
		return 0, err
	}
	for i := 0; i+chunkHeader <= len(b); i++ {
		if id := string(b[i : i+4]); id != "LIST" && id != "id3 " && id != "ID3 " {
			continue
		}
		if f.endsExactly(b[i:]) {
			return from + int64(i) - body, nil
		}
	}
	return f.size - body, nil
}

// endsExactly says whether b is a row of chunks without a remainder.
func (f *file) endsExactly(b []byte) bool {
	for len(b) >= chunkHeader && plausibleID(b[:4]) {
		next := chunkHeader + int64(f.order.Uint32(b[4:]))
		next += next & 1
		if next >= int64(len(b)) {
			return next-int64(len(b)) <= 1 // the last pad byte may be missing
		}
		b = b[next:]
	}
	return false
}

// followed says whether a chunk of known name stands at offset, or the file ends.
func (f *file) followed(offset int64) (bool, error) {
	c, ok, err := f.chunkAt(offset)
	return err == nil && (!ok || knownIDs[c.id]), err
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
	if what := l.format.contradiction(p); what != "" {
		l.faults = append(l.faults, *stream.Errorf(stream.Damaged, "the fmt chunk contradicts itself: %s", what).AtOffset(l.format.offset))
	}
	if l.length < int64(p.Bytes*l.format.channels) {
		return nil, stream.Errorf(stream.Truncated, "the data chunk holds no audio").AtOffset(l.data)
	}
	if err := f.behind(&l, int64(p.Bytes*l.format.channels)); err != nil {
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

// behind names bytes behind the samples that are no chunk, a frame of them or more:
// the data chunk then declares less than there is. Zeros and tags of other formats
// are no fault.
func (f *file) behind(l *layout, frame int64) error {
	offset, err := f.after(l.data+l.length, l.length&1 == 1)
	if err != nil || offset+frame > f.size {
		return err
	}
	b, err := f.read(offset, int(min(f.size-offset, 64)))
	if err != nil {
		return err
	}
	if len(b) >= chunkHeader && plausibleID(b[:4]) {
		size := int64(f.order.Uint32(b[4:]))
		if knownIDs[string(b[:4])] || offset+chunkHeader+size <= f.size {
			return nil
		}
	}
	for _, harmless := range []string{"TAG", "APETAGEX", "LYRICSBEGIN"} {
		if bytes.HasPrefix(b, []byte(harmless)) {
			return nil
		}
	}
	if len(bytes.Trim(b, "\x00")) > 0 {
		l.faults = append(l.faults, *stream.Errorf(stream.Damaged,
			"%d bytes behind the data chunk are no chunk: the header may declare too little", f.size-offset).AtOffset(offset))
	}
	return nil
}
