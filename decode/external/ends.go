package external

import (
	"bytes"
	"encoding/binary"
	"io"

	"dubgauge/decode/stream"
)

// checkFile looks in the file itself for what ffmpeg passes over without a word: an
// end that is missing, and in Ogg pages that are. What cannot be read then is left: the
// medium has had its say through ffmpeg.
func (r *reader) checkFile() {
	if r.err != io.EOF {
		return
	}
	f, fi, err := stream.OpenRegular(r.path)
	if err != nil {
		return
	}
	defer f.Close()
	var found []stream.Error
	switch r.kind {
	case "ogg", "opus":
		found = checkOgg(f, fi.Size(), r.granuleRate())
	case "aac":
		found = checkADTS(f, fi.Size())
	case "w64":
		found = checkW64(f, fi.Size())
	}
	for _, e := range found {
		if e.At < 0 && e.Kind == stream.Truncated {
			e.At = max(r.seconds(), 0)
		}
		r.missed = append(r.missed, e)
	}
}

// granuleRate is the rate that Ogg pages count at: Opus always has 48 kHz (RFC 7845,
// section 4).
func (r *reader) granuleRate() int {
	if r.info.Codec == "opus" {
		return 48000
	}
	return r.info.SampleRate
}

// checkW64 holds the length that the file's head declares, 8 bytes behind its GUID,
// against the one that it has.
func checkW64(f io.ReaderAt, size int64) []stream.Error {
	var b [24]byte
	if n, _ := f.ReadAt(b[:], 0); n < len(b) {
		return nil
	}
	const slack = 8 // chunks are padded to multiples of 8 bytes
	declared := int64(min(binary.LittleEndian.Uint64(b[16:]), 1<<60))
	if declared <= size+slack || declared == 1<<60 {
		return nil
	}
	return []stream.Error{*stream.Errorf(stream.Truncated, "the file declares %d bytes, %d are there", declared, size).AtOffset(size)}
}

// checkADTS goes from frame to frame by their lengths (ISO/IEC 13818-7, section 6.2)
// and names a last one that is cut off. Where there is no frame it leaves the word to
// ffmpeg.
func checkADTS(f io.ReaderAt, size int64) []stream.Error {
	var buf [10]byte
	for at := int64(0); at < size; {
		n, _ := f.ReadAt(buf[:], at)
		b := buf[:n]
		switch {
		case n == len(buf) && bytes.HasPrefix(b, []byte("ID3")):
			at += 10 + int64(b[6]&127)<<21 + int64(b[7]&127)<<14 + int64(b[8]&127)<<7 + int64(b[9]&127)
			continue
		case n < 7 && n > 0 && b[0] == 0xFF, n >= 7 && b[0] == 0xFF && b[1]&0xF6 == 0xF0:
		default:
			return nil
		}
		length := int64(7)
		if n >= 7 {
			length = int64(b[3]&3)<<11 | int64(b[4])<<3 | int64(b[5])>>5
		}
		if at+length > size {
			return []stream.Error{*stream.Errorf(stream.Truncated, "the last frame is cut off").AtOffset(at)}
		}
		if length < 7 {
			return nil
		}
		at += length
	}
	return nil
}
