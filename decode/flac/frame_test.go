package flac

import (
	"bytes"
	"testing"

	"github.com/mewkiz/flac/frame"
)

// buildHeader writes a frame header with its CRC-8.
func buildHeader(block, assignment, bitsCode int) []byte {
	h := []byte{0xff, 0xf8, 0x79, byte(assignment<<4 | bitsCode<<1), 0, byte((block - 1) >> 8), byte(block - 1)}
	return append(h, crc8(h))
}

// FuzzFrame decodes a frame whose header is right and whose body is anything. What
// decodes must decode to the same samples with an independent decoder, once the
// CRC-16 is put right.
func FuzzFrame(f *testing.F) {
	const block = 64
	file := encode(f, pack(music(9, 10*block, 2, 30000), 2), 16, 2, "-b", "64", "-8", "-r", "3")
	at := frameOffsets(f, file)
	for i := range at[:len(at)-1] {
		if h, ok := parseHeader(file[at[i]:]); ok {
			f.Add(uint16(h.block), byte(h.assignment), byte(4), file[at[i]+h.length:at[i+1]])
		}
	}
	f.Add(uint16(16), byte(0), byte(6), []byte{3, 1, 2, 3})
	f.Fuzz(func(t *testing.T, block uint16, assignment, bitsCode byte, body []byte) {
		b := append(buildHeader(int(block%4608)+1, int(assignment%11), int(bitsCode%8)), body...)
		h, ok := parseHeader(b)
		if !ok || h.bits == 0 {
			return
		}
		var d decoder
		n, p := d.decode(b, h, h.bits)
		if n > len(b) {
			t.Fatalf("%d of %d bytes taken", n, len(b))
		}
		if p != noProblem && p != badCRC || h.bits == 32 { // the library has no 32 bits
			return
		}
		c := crc16(b[:n-2])
		b[n-2], b[n-1] = byte(c>>8), byte(c)
		if n, p = d.decode(b, h, h.bits); p != noProblem {
			t.Fatalf("with its CRC put right: %s", p)
		}
		compareWithLibrary(t, &d, b[:n])
	})
}

func compareWithLibrary(t *testing.T, d *decoder, b []byte) {
	lib, err := frame.Parse(bytes.NewReader(b))
	if err != nil {
		t.Fatalf("the library refuses the frame: %v", err)
	}
	for c, s := range lib.Subframes {
		if len(s.Samples) != len(d.samples[c]) {
			t.Fatalf("channel %d has %d samples, the library has %d", c, len(d.samples[c]), len(s.Samples))
		}
		for i, v := range s.Samples {
			if d.samples[c][i] != v {
				t.Fatalf("channel %d sample %d is %d, the library has %d", c, i, d.samples[c][i], v)
			}
		}
	}
}
