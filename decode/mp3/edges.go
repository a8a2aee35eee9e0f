package mp3

import (
	"bytes"

	"dubgauge/decode/stream"
)

// nameFront says what the bytes are that lie before the first frame fr, and looks for
// an earlier one where an ID3v2 tag may have led past it. It returns the first frame.
func (t *track) nameFront(fr frame) frame {
	in := t.frames.in
	head := in.at(0, id3v2Header)
	declared := id3v2Length(head)
	if declared > 0 {
		fr = t.insideTag(fr)
	}
	from := fr.offset - fr.gap
	switch {
	case declared > fr.offset || declared > 0 && (parseInfo(&fr).present || t.reachesBeyond(declared) || in.zeros(from, fr.offset)):
		t.faults.add(stream.Errorf(stream.Unsupported,
			"the ID3v2 tag declares a length of %d bytes, the music begins at byte %d: some players do not find it", declared, fr.offset).AtOffset(6).AtTime(0).Of(stream.WrongTag))
	case fr.gap > 0:
		t.faults.add(stream.Errorf(stream.Damaged, "%d bytes before the first frame are not audio", fr.gap).AtOffset(from))
	}
	return fr
}

// insideTag looks for a frame in front of fr, from the head of the file's ID3v2 tag
// on: a tag that declares too much leads into the music.
func (t *track) insideTag(fr frame) frame {
	ahead := framer{in: &input{src: t.frames.in.src, end: t.frames.in.end, next: id3v2Header, buf: make([]byte, inputBytes)}}
	if earlier, ok := ahead.next(min(maxJunk, fr.offset)); ok && earlier.layer == layerIII && earlier.offset < fr.offset {
		t.frames = ahead
		return earlier
	}
	return fr
}

// reachesBeyond tells whether the frames of the ID3v2 tag at the head of the file,
// declared bytes long, go on behind its end (ID3v2.3.0, section 3.3; the sizes of
// 2.4 have seven bits a byte).
func (t *track) reachesBeyond(declared int64) bool {
	const frameHeader = 10
	major := t.frames.in.at(3, 1)
	for at := int64(id3v2Header); at+frameHeader <= declared; {
		h := t.frames.in.at(at, frameHeader)
		if h == nil || h[0] < 'A' || h[0] > 'Z' {
			return false
		}
		size := int64(h[4])<<24 | int64(h[5])<<16 | int64(h[6])<<8 | int64(h[7])
		if major[0] >= 4 {
			size = int64(h[4]&127)<<21 | int64(h[5]&127)<<14 | int64(h[6]&127)<<7 | int64(h[7]&127)
		}
		if at += frameHeader + size; at > declared {
			return true
		}
	}
	return false
}

// onlyZeros tells whether nothing but zeros lies from offset to the end.
func (t *track) onlyZeros(offset int64) bool { return t.frames.in.zeros(offset, t.frames.in.end) }

// zeros tells whether all bytes from one offset to another are zero.
func (in *input) zeros(from, to int64) bool {
	const step = 1 << 15
	for ; from < to; from += step {
		b := in.at(from, int(min(step, to-from)))
		if b == nil || len(bytes.Trim(b, "\x00")) > 0 {
			return false
		}
	}
	return true
}

const (
	// sector is the unit in which file systems write, or a part of it.
	sector = 512
	// cluster is the least common one of FAT32, exFAT and NTFS, in bytes.
	cluster = 4096
	// stoppedSlack is how many zeros in front of the edge may be the frame's own.
	stoppedSlack = 4
	// stoppedLeast is how many bytes of the frame must be missing behind the edge.
	stoppedLeast = 16
)

// stopped tells whether a copy stopped inside the last frame: from a sector's edge in
// it on all is zero, and so is the rest of the file; or at its end, if that is a
// cluster's. A file that was only filled up with zeros has them behind its last frame.
func (t *track) stopped(rest *frame) bool {
	if rest.gap < sector || t.lastLen == 0 {
		return false
	}
	in, end := t.frames.in, rest.offset
	b := in.at(end-int64(t.lastLen), t.lastLen)
	if b == nil || !t.onlyZeros(end) {
		return false
	}
	if end%cluster == 0 && rest.gap >= cluster {
		return true // nothing was filled up to the cluster's end there
	}
	zero := end - int64(len(b)-len(bytes.TrimRight(b, "\x00")))
	edge := (zero + sector - 1) / sector * sector
	return edge-zero < stoppedSlack && end-edge >= stoppedLeast
}
