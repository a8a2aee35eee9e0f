package flac

import (
	"bytes"
	"io"

	"dubgauge/decode/stream"
)

// finish names what is missing at the end, when no further frame was found behind
// r.pos, and compares the MD5.
func (r *reader) finish(why problem) error {
	rest := r.src.size - r.pos
	total, end := int64(r.si.total), r.start+r.out.done
	complete := total > 0 && end >= total
	if rest > 0 && !complete {
		harmless, err := r.trailer()
		if err != nil {
			return err
		}
		complete = harmless
	}
	switch {
	case total > end:
		r.fault(stream.Truncated, r.pos, "the file declares %.2f s, %.2f s can be read", r.seconds(total), r.seconds(r.out.done))
		r.incomplete = true
	case rest > 0 && !complete && why == cutOff:
		r.fault(stream.Truncated, r.pos, "the last frame is cut off")
		r.incomplete = true
	case rest > 0 && !complete:
		r.fault(stream.Damaged, r.pos, "the last %d bytes cannot be read (%s)", rest, why)
		r.incomplete = true
	case total > 0 && end > total && !r.incomplete:
		r.fault(stream.Damaged, firstBlockEnd, "STREAMINFO declares %d samples, there are %d", total, r.out.done)
	}
	r.verify()
	return io.EOF
}

// trailer says whether what follows the last frame is no damage: zeros or a tag of
// another format that some program put there.
func (r *reader) trailer() (bool, error) {
	for offset := r.pos; offset < r.src.size; {
		b, err := r.src.at(offset, 16)
		if err != nil {
			return false, err
		}
		for _, magic := range []string{"TAG", "APETAGEX", "LYRICSBEGIN", "ID3"} {
			if bytes.HasPrefix(b, []byte(magic)) {
				return true, nil
			}
		}
		zeros := len(b) - len(bytes.TrimLeft(b, "\x00"))
		if zeros == 0 {
			return false, nil
		}
		offset += int64(zeros)
	}
	return true, nil
}

// hash feeds the frame's samples to the MD5 as RFC 9639 section 8.2 says:
// interleaved, signed, least significant byte first, in whole bytes.
func (r *reader) hash() {
	channels, bytes := r.cur.channels(), (r.depth+7)/8
	need := r.cur.block * channels * bytes
	if cap(r.sumBuffer) < need {
		r.sumBuffer = make([]byte, need)
	}
	b := r.sumBuffer[:need]
	stride := channels * bytes
	for c := range channels {
		o := c * bytes
		for _, v := range r.dec.samples[c][:r.cur.block] {
			for k := range bytes {
				b[o+k] = byte(v >> (8 * k))
			}
			o += stride
		}
	}
	r.sum.Write(b)
}

// verify compares the MD5. A difference is a fault of its own only when nothing
// else explains it.
func (r *reader) verify() {
	if r.sum == nil {
		return
	}
	r.verified = stream.Matches
	if got := r.sum.Sum(nil); !bytes.Equal(got, r.si.md5[:]) {
		r.verified = stream.Differs
		if !r.incomplete {
			r.faults.Add(stream.Errorf(stream.Damaged, "the samples have the MD5 %x, the file declares %x", got, r.si.md5))
		}
	}
	r.sum = nil
}
