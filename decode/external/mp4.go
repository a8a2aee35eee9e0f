package external

import (
	"dubgauge/decode/stream"
	"encoding/binary"
	"fmt"
	"io"
	"strings"
)

// mp4 is what an MP4 file says of the length of its sound, in the boxes of ISO/IEC
// 14496-12: mvhd and mdhd (clauses 8.2.2 and 8.4.2), elst (8.6.6); and in the comment
// that some encoders write into the item list under the name iTunSMPB, as publicly
// documented: hexadecimal numbers, after a zero the samples in front (priming), those
// at the end (remainder), and those in between, which are the encoder's input.
type mp4 struct {
	src        io.ReaderAt
	movieScale int64 // units a second of the movie
	track      mp4Track
	sound      mp4Track // the first that is sound
	name       string   // of the list item that is being read
	comment    string
	boxes      int // read so far
}

type mp4Track struct {
	sound           bool
	scale, duration int64 // of the media
	edits           int
	segment, from   int64 // of the first edit that plays something: movie and media units
}

const (
	mostBoxes = 100_000 // bounds the walk; files in the field have a few hundred
	mostText  = 1024    // bytes of a box that are read
)

// inputLength is the length of the encoder's input in samples at the rate that ffmpeg
// decodes to, -1 where it is not known. HE-AAC comes out at twice the rate of its core,
// at which most writers count.
func inputLength(path string, rate int) int64 {
	samples, counted := gaplessLength(path)
	switch {
	case samples < 0:
		return -1
	case counted == rate:
		return samples
	case 2*counted == rate:
		return 2 * samples
	}
	return -1
}

// gaplessLength returns how many samples the encoder was given, and the rate that they
// are counted at; -1 where the file does not say, or what it says does not fit itself.
// ffmpeg leaves out the samples in front, but gives the last frame whole.
func gaplessLength(path string) (samples int64, rate int) {
	f, fi, err := stream.OpenRegular(path)
	if err != nil {
		return -1, 0
	}
	defer f.Close()
	m := mp4{src: f}
	m.walk(0, fi.Size(), 0)
	return m.length(), int(m.sound.scale)
}

// containers are the boxes that are looked into, with the bytes in front of their
// own boxes.
var containers = map[string]int64{"moov": 0, "trak": 0, "mdia": 0, "edts": 0, "udta": 0, "meta": 4, "ilst": 0, "----": 0}

// walk goes through the boxes from one offset to another.
func (m *mp4) walk(at, end int64, depth int) {
	for ; at+8 <= end && m.boxes < mostBoxes && depth < 8; m.boxes++ {
		var h [16]byte
		if n, _ := m.src.ReadAt(h[:], at); n < 8 {
			return
		}
		size, head := int64(binary.BigEndian.Uint32(h[:])), int64(8)
		switch size {
		case 0:
			size = end - at
		case 1:
			size, head = int64(min(binary.BigEndian.Uint64(h[8:]), 1<<60)), 16
		}
		if size < head || size > end-at {
			return
		}
		name := string(h[4:8])
		if skip, ok := containers[name]; ok {
			m.walk(at+head+skip, at+size, depth+1)
			m.leave(name)
		} else {
			m.take(name, at+head, size-head)
		}
		at += size
	}
}

// leave ends a box that holds others.
func (m *mp4) leave(name string) {
	if name != "trak" {
		return
	}
	if m.track.sound && !m.sound.sound {
		m.sound = m.track
	}
	m.track = mp4Track{}
}

// take reads a box of n bytes.
func (m *mp4) take(name string, at, n int64) {
	switch name {
	case "mvhd", "mdhd", "hdlr", "elst", "name", "data":
	default:
		return
	}
	b := make([]byte, min(n, mostText))
	if k, _ := m.src.ReadAt(b, at); k < len(b) || k < 12 {
		return
	}
	switch name {
	case "mvhd":
		m.movieScale, _ = clock(b)
	case "mdhd":
		m.track.scale, m.track.duration = clock(b)
	case "hdlr":
		m.track.sound = m.track.sound || string(b[8:12]) == "soun"
	case "elst":
		m.track.takeEdits(b)
	case "name":
		m.name = string(b[4:])
	case "data":
		if m.name == "iTunSMPB" {
			m.comment = string(b[8:])
		}
		m.name = ""
	}
}

// clock reads the units a second and the duration in them, of 32 bits in version 0 and
// 64 in version 1, behind the two times of the file.
func clock(b []byte) (scale, duration int64) {
	switch {
	case len(b) >= 20 && b[0] == 0:
		return int64(binary.BigEndian.Uint32(b[12:])), int64(binary.BigEndian.Uint32(b[16:]))
	case len(b) >= 32 && b[0] == 1:
		return int64(binary.BigEndian.Uint32(b[20:])), int64(min(binary.BigEndian.Uint64(b[24:]), 1<<60))
	}
	return 0, 0
}

// takeEdits reads an edit list: a version, a count, and of each edit its duration,
// where in the media it begins (-1: nowhere, a pause), and its speed.
func (t *mp4Track) takeEdits(b []byte) {
	count, width := int(binary.BigEndian.Uint32(b[4:])), 4
	if b[0] == 1 {
		width = 8
	}
	b = b[8:]
	for ; count > 0 && len(b) >= 2*width+4; count-- {
		segment, from := int64(binary.BigEndian.Uint32(b)), int64(int32(binary.BigEndian.Uint32(b[width:])))
		if width == 8 {
			segment, from = int64(min(binary.BigEndian.Uint64(b), 1<<60)), int64(binary.BigEndian.Uint64(b[8:]))
		}
		b = b[2*width+4:]
		if from >= 0 {
			t.segment, t.from = segment, from
			t.edits++
		}
	}
}

// mostPadding is how many samples an encoder may have put around its input.
const mostPadding = 4 * 2048

// length is that of the encoder's input in samples, -1 when it is not known.
func (m *mp4) length() int64 {
	t := m.sound
	if !t.sound || t.scale <= 0 || t.edits > 1 {
		return -1
	}
	var zero, priming, remainder, samples int64
	n, _ := fmt.Sscanf(strings.TrimSpace(m.comment), "%x %x %x %x", &zero, &priming, &remainder, &samples)
	if n == 4 && (t.edits == 0 || t.from == priming) && t.plausible(samples) {
		return samples
	}
	const longest = 1 << 30 // units of an edit; more would not go into the product
	if t.edits == 0 || m.movieScale <= 0 || t.segment > longest {
		return -1
	}
	samples = t.segment * t.scale / m.movieScale
	if m.movieScale < t.scale { // rounded to units of many samples
		samples = (t.segment + 1) * t.scale / m.movieScale
	}
	if samples = min(samples, t.duration-t.from); t.plausible(samples) {
		return samples
	}
	return -1
}

// plausible tells whether the track holds the samples and little more.
func (t mp4Track) plausible(samples int64) bool {
	return samples > 0 && samples <= t.duration && t.duration-samples <= mostPadding
}
