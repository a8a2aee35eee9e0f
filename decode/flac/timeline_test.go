package flac

import (
	"bytes"
	"testing"
)

// renumber writes the frames of a file of fixed block size anew: with sample numbers
// instead of frame numbers, and no strategy bit to say so.
func renumber(tb testing.TB, file []byte) []byte {
	tb.Helper()
	offsets := frameOffsets(tb, file)
	out := bytes.Clone(file[:offsets[0]])
	sample := uint64(0)
	for i, at := range offsets {
		end := len(file)
		if i+1 < len(offsets) {
			end = offsets[i+1]
		}
		h, ok := parseHeader(file[at:end])
		if !ok {
			tb.Fatalf("no header at byte %d", at)
		}
		_, n := codedNumber(file[at+4:])
		frame := append(bytes.Clone(file[at:at+4]), coded(sample)...)
		frame = append(frame, file[at+4+n:at+h.length-1]...)
		frame = append(frame, crc8(frame))
		frame = append(frame, file[at+h.length:end-2]...)
		sum := crc16(frame)
		out = append(append(out, frame...), byte(sum>>8), byte(sum))
		sample += uint64(h.block)
	}
	return out
}

// coded writes a number like UTF-8, up to 21 bits (RFC 9639 section 9.1.5).
func coded(v uint64) []byte {
	switch {
	case v < 1<<7:
		return []byte{byte(v)}
	case v < 1<<11:
		return []byte{0xC0 | byte(v>>6), 0x80 | byte(v&63)}
	case v < 1<<16:
		return []byte{0xE0 | byte(v>>12), 0x80 | byte(v>>6&63), 0x80 | byte(v&63)}
	}
	return []byte{0xF0 | byte(v>>18), 0x80 | byte(v>>12&63), 0x80 | byte(v>>6&63), 0x80 | byte(v&63)}
}

// TestSampleNumbers reads a file whose headers count samples without saying so: as
// many samples come out of Read as went in, not a minute of silence between each two
// frames. With frames taken out the silence is as long as they were.
func TestSampleNumbers(t *testing.T) {
	const frames, block = 60_000, 4096
	samples := music(6, frames, 2, 30000)
	file := renumber(t, encode(t, pack(samples, 2), 16, 2, "-5", "-b", "4096"))
	s, got := decodeAll(t, file)
	if len(got[0]) != frames || len(s.Faults()) > 0 {
		t.Fatalf("%d samples, want %d; faults %v", len(got[0]), frames, s.Faults())
	}
	equal(t, got, samples, 16, 0, frames)

	offsets := frameOffsets(t, file)
	hurt := append(bytes.Clone(file[:offsets[5]]), file[offsets[7]:]...)
	s, got = decodeAll(t, hurt)
	if len(got[0]) != frames || !named(s.Faults(), "frames are missing") {
		t.Fatalf("%d samples, want %d; faults %v", len(got[0]), frames, s.Faults())
	}
	equal(t, got, samples, 16, 7*block, frames)
}
