package mp3

import (
	"encoding/binary"
	"errors"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// Layers I and II are refused by name: their frames follow each other at the distances
// of clause 2.4.3.1, slots of four bytes in Layer I. At other distances they are no
// audio that is known.
func TestOtherLayers(t *testing.T) {
	const (
		i1  = 0xFFFF<<16 | 0x5<<12 // Layer I, 160 kbit/s, 44.1 kHz: 43 slots
		i2  = 0xFFF7<<16 | 0x5<<12 // the same of MPEG-2, 80 kbit/s, 22.05 kHz: 43 slots
		ii1 = 0xFFFD<<16 | 0x8<<12 // Layer II, 128 kbit/s, 44.1 kHz: 417 bytes
		ii2 = 0xFFF5<<16 | 0x8<<12 // the same of MPEG-2, 64 kbit/s, 22.05 kHz: 417 bytes
		pad = 1 << 9
	)
	for _, c := range []struct {
		name    string
		headers []uint32
		lengths []int
		want    string
		kind    stream.Kind
	}{
		{"Layer I", []uint32{i1, i1 | pad, i1, i1}, []int{172, 176, 172, 172}, "MPEG audio Layer I; only", stream.Unsupported},
		{"Layer I of MPEG-2", []uint32{i2, i2 | pad, i2, i2}, []int{172, 176, 172, 172}, "MPEG audio Layer I; only", stream.Unsupported},
		{"Layer II", []uint32{ii1, ii1 | pad, ii1, ii1}, []int{417, 418, 417, 417}, "MPEG audio Layer II; only", stream.Unsupported},
		{"Layer II of MPEG-2", []uint32{ii2, ii2 | pad, ii2, ii2}, []int{417, 418, 417, 417}, "MPEG audio Layer II; only", stream.Unsupported},
		{"Layer I with bytes for slots", []uint32{i1, i1 | pad, i1, i1}, []int{172, 173, 172, 172}, "no MPEG audio frame", stream.Damaged},
		{"Layer II, a byte too long", []uint32{ii1, ii1, ii1, ii1}, []int{418, 418, 418, 418}, "no MPEG audio frame", stream.Damaged},
	} {
		var b []byte
		for i, h := range c.headers {
			b = append(binary.BigEndian.AppendUint32(b, h), make([]byte, c.lengths[i]-4)...)
		}
		if c.kind == stream.Damaged {
			b = append(b, make([]byte, 50)...) // or the last frame's end at the file's would speak for it
		}
		_, err := Open(section(b))
		var e *stream.Error
		if !errors.As(err, &e) || e.Kind != c.kind || !strings.Contains(e.Detail, c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
}
