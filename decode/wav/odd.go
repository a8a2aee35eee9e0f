package wav

import (
	"encoding/binary"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// further notes a data chunk behind the first one. RIFF allows one; what players do
// with a second is their own affair, and most do not look for it.
func (l *layout) further(c chunk) {
	if l.more == 0 {
		l.moreAt = c.body
	}
	l.more += c.avail
}

// tooMuch tells whether the further data chunks hold sound that is worth a word: a
// tenth of a second.
func (l *layout) tooMuch(frame int64) bool {
	return l.more > 0 && l.format.rate > 0 && l.more/frame >= int64(l.format.rate)/10
}

const (
	// probes and probeBytes are how much of the samples is looked at to tell at which
	// end of 32 bits 24 stand: a megabyte, spread over the file.
	probes     = 256
	probeBytes = 4096
	// loudEnough is a sample of 24 bits at -18 dBFS: music that is written at the wrong
	// end has one.
	loudEnough = 1 << 20
)

// rightJustified finds samples of 24 bits at the low end of 32. The RIFF text wants
// them at the high end, where they have 8 zeros below; at the low end the highest 8
// bits only repeat the sign. Where the header says 24 bits they are read as they are
// meant; where it says 32, they are read as they stand and named. Both are named.
func (f *file) rightJustified(l *layout, p *pcm.Format) error {
	if p.Encoding != pcm.Signed || p.Bytes != 4 || p.BigEndian || p.Bits != 24 && p.Bits != 32 {
		return nil
	}
	low, err := f.atLowEnd(l.data, l.length)
	if err != nil || !low {
		return err
	}
	if p.Bits == 24 {
		p.Low = true
		l.fault(stream.Unsupported, l.format.offset, "samples of 24 bits stand at the wrong end of 32: read as they are meant; players that go by the standard play them 48 dB too low")
	} else {
		l.fault(stream.Unsupported, l.format.offset, "no sample uses the upper 8 of its 32 bits, as if 24 bits stood at the wrong end: read as they stand, 48 dB too low if so")
	}
	return nil
}

// atLowEnd tells whether in all places that are looked at the highest byte only
// repeats the sign, while the lowest is in use.
func (f *file) atLowEnd(data, length int64) (bool, error) {
	step := max(length/probes/4*4, probeBytes)
	used, loudest := false, int32(0)
	for at := int64(0); at+4 <= length; at += step {
		b, err := f.read(data+at, int(min(probeBytes, length-at)))
		if err != nil {
			return false, err
		}
		for ; len(b) >= 4; b = b[4:] {
			v := int32(binary.LittleEndian.Uint32(b))
			if v != v<<8>>8 {
				return false, nil
			}
			used = used || v&0xFF != 0
			loudest = max(loudest, v, -v)
		}
	}
	return used && loudest >= loudEnough, nil
}
