// Package aiff reads AIFF and AIFF-C files.
//
// Sources: "Audio Interchange File Format: AIFF" 1.3 (Apple, 1989) and "Audio
// Interchange File Format AIFF-C" draft (Apple, 1991); the little-endian and float
// compression types (sowt, fl32, fl64, in24, in32) are QuickTime's.
//
// Chunks may come in any order. The file's own length caps every declared size.
// Other compression types are refused by name.
package aiff

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// Sniff says whether head, the first 12 bytes or more of a file, begins an AIFF
// or AIFF-C file.
func Sniff(head []byte) bool {
	return len(head) >= 12 && string(head[:4]) == "FORM" && (string(head[8:12]) == "AIFF" || string(head[8:12]) == "AIFC")
}

// layout is what was found on the walk through the chunks.
type layout struct {
	common  *common
	data    int64 // offset of the samples
	skip    int64 // bytes in front of them that the SSND chunk declares
	length  int64 // bytes of samples inside the file
	missing int64 // bytes declared but not there
	hasData bool
	faults  []stream.Error
}

// Open reads the header of the file that src holds from its first byte on. Errors
// about the content are *stream.Error.
func Open(src *io.SectionReader) (stream.Stream, error) {
	head, err := read(src, 0, 12)
	if err != nil {
		return nil, err
	}
	if !Sniff(head) {
		return nil, stream.Errorf(stream.Damaged, "not an AIFF file").AtOffset(0)
	}
	l, err := walk(src, string(head[8:12]) == "AIFC")
	if err != nil {
		return nil, err
	}
	return l.open(src)
}

const (
	chunkHeader = 8      // four letters and a size
	maxChunks   = 10_000 // bounds the walk; files in the field have a few dozen at most
)

// walk goes through the chunks until both COMM and SSND are known.
func walk(src *io.SectionReader, compressed bool) (l layout, err error) {
	offset := int64(12)
	for n := 0; n < maxChunks && (l.common == nil || !l.hasData) && offset+chunkHeader <= src.Size(); n++ {
		b, err := read(src, offset, chunkHeader)
		if err != nil {
			return l, err
		}
		body, size := offset+chunkHeader, int64(binary.BigEndian.Uint32(b[4:]))
		avail := min(size, src.Size()-body)
		switch string(b[:4]) {
		case "COMM":
			if l.common == nil {
				l.common, err = parseCommon(src, body, avail, compressed)
			}
		case "SSND":
			if !l.hasData {
				err = l.sound(src, body, size, avail)
			}
		}
		if err != nil {
			return l, err
		}
		if offset, err = after(src, body+avail, avail&1 == 1); err != nil {
			return l, err
		}
	}
	return l, nil
}

// sound reads the head of the SSND chunk: the offset of the first sample and the
// block size, 4 bytes each.
func (l *layout) sound(src *io.SectionReader, body, size, avail int64) error {
	const soundHeader = 8
	b, err := read(src, body, soundHeader)
	if err != nil {
		return err
	}
	skip := int64(binary.BigEndian.Uint32(b))
	first := body + soundHeader + skip
	end := body + avail
	if streamed(size) {
		end = src.Size()
	}
	if skip > 0 && first >= end {
		return stream.Errorf(stream.Damaged, "the SSND chunk puts its first sample %d bytes in, behind its end", skip).AtOffset(body)
	}
	l.hasData, l.data, l.skip, l.length = true, first, skip, max(0, end-first)
	if !streamed(size) && size > avail {
		l.missing = size - avail
	}
	return nil
}

// open builds the reader of the samples.
func (l layout) open(src *io.SectionReader) (stream.Stream, error) {
	switch {
	case l.common == nil && !l.hasData:
		return nil, stream.Errorf(stream.Truncated, "neither a COMM nor an SSND chunk").AtOffset(src.Size())
	case l.common == nil:
		return nil, stream.Errorf(stream.Damaged, "no COMM chunk").AtOffset(src.Size())
	case !l.hasData:
		return nil, stream.Errorf(stream.Truncated, "no SSND chunk").AtOffset(src.Size())
	}
	c := l.common
	frame := int64(c.format.Bytes * c.channels)
	l.checkOffset(int64(c.frames) * frame)
	if l.length < frame {
		return nil, stream.Errorf(stream.Truncated, "the SSND chunk holds no audio").AtOffset(l.data)
	}
	if err := l.behind(src, frame); err != nil {
		return nil, err
	}
	l.compare(int64(c.frames), frame, src.Size())
	stopped, err := pcm.Stopped(src, c.format, c.channels, c.rate, l.data, l.length, src.Size())
	if stopped != nil {
		l.faults = append(l.faults, *stopped)
	}
	if err != nil {
		return nil, err
	}
	faults := l.faults
	info := stream.Info{Format: "aiff", SampleRate: c.rate, Channels: c.channels}
	r, err := pcm.NewReader(info, c.format, src, l.data, l.length, faults)
	var e *stream.Error
	if errors.As(err, &e) {
		return nil, e.AtOffset(c.offset)
	}
	if err != nil {
		return nil, err
	}
	return r, nil
}

// checkOffset leaves out the offset of the SSND chunk when the samples that the COMM
// chunk declares, want bytes, fit only without it.
func (l *layout) checkOffset(want int64) {
	if l.skip > 0 && want > l.length && want <= l.length+l.skip {
		l.faults = append(l.faults, *stream.Errorf(stream.Damaged,
			"the SSND chunk puts its first sample %d bytes in, which leaves too little for the frames declared: taken as 0", l.skip).AtOffset(l.data - l.skip - 8))
		l.data -= l.skip
		l.length += l.skip
	}
}

// compare holds the length that the COMM chunk declares, in frames, against the
// samples that are there. The space that a file system's block leaves behind the
// last frame is not audio.
func (l *layout) compare(frames, frame, size int64) {
	const blockSlack = 4096 // bytes
	want := frames * frame
	switch {
	case max(want, l.length+l.missing)/frame > l.length/frame:
		l.faults = append(l.faults, *stream.Errorf(stream.Truncated, "%d bytes of samples are declared, %d are there",
			max(want, l.length+l.missing), l.length).AtOffset(size))
	case frames > 0 && want < l.length && l.length-want < blockSlack && want > blockSlack:
		l.length = want
	case frames > 0 && want <= l.length-frame:
		l.faults = append(l.faults, *stream.Errorf(stream.Damaged, "the COMM chunk declares %d frames, the SSND chunk holds %d",
			frames, l.length/frame).AtOffset(l.common.offset + 2))
	}
}

// behind names bytes behind the samples that are no chunk, a frame of them or more:
// the SSND chunk then declares less than there is. Zeros and tags of other formats
// are no fault.
func (l *layout) behind(src *io.SectionReader, frame int64) error {
	offset, err := after(src, l.data+l.length, l.length&1 == 1)
	if err != nil || offset+frame > src.Size() {
		return err
	}
	b, err := read(src, offset, int(min(src.Size()-offset, 64)))
	if err != nil {
		return err
	}
	if len(b) >= chunkHeader && plausibleID(b[:4]) {
		size := int64(binary.BigEndian.Uint32(b[4:]))
		if knownIDs[string(b[:4])] || offset+chunkHeader+size <= src.Size() {
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
			"%d bytes behind the SSND chunk are no chunk: the header may declare too little", src.Size()-offset).AtOffset(offset))
	}
	return nil
}

// streamed says whether size was never filled in.
func streamed(size int64) bool {
	const margin = 4096 // bytes that a header may be taken off
	return size == 0 || size >= 1<<32-1-margin || size >= 1<<31-1-margin && size <= 1<<31
}

// read gives n bytes at offset: truncated content when the file ends before them,
// what the medium says when that fails.
func read(src io.ReaderAt, offset int64, n int) ([]byte, error) {
	b := make([]byte, n)
	got, err := src.ReadAt(b, offset)
	switch {
	case got == n:
		return b, nil
	case err == io.EOF:
		return nil, stream.Errorf(stream.Truncated, "the file ends inside its header").AtOffset(offset + int64(got))
	}
	return nil, fmt.Errorf("reading at byte %d: %w", offset+int64(got), err)
}

// after returns the offset of the chunk that follows a body ending at end. A body
// of odd length has a pad byte behind it, which some writers leave out.
func after(src *io.SectionReader, end int64, odd bool) (int64, error) {
	if !odd || end+4 > src.Size() {
		return end, nil
	}
	b, err := read(src, end, int(min(5, src.Size()-end)))
	if err != nil {
		return 0, err
	}
	if plausibleID(b[:4]) && !(len(b) == 5 && plausibleID(b[1:5])) {
		return end, nil
	}
	return end + 1, nil
}

// knownIDs are chunks that are met behind the samples.
var knownIDs = map[string]bool{
	"COMM": true, "FVER": true, "MARK": true, "COMT": true, "INST": true, "MIDI": true, "AESD": true, "APPL": true, "NAME": true,
	"AUTH": true, "(c) ": true, "ANNO": true, "ID3 ": true, "id3 ": true, "CHAN": true, "SAXL": true, "FLLR": true, "PEAK": true,
}

// plausibleID says whether b can name a chunk: four printable characters, the
// first of them no space.
func plausibleID(b []byte) bool {
	for i, c := range b {
		if c < ' ' || c > '~' || c == ' ' && i == 0 {
			return false
		}
	}
	return true
}
