package mp3

import "encoding/binary"

// streamInfo is what the frame in front of the audio says of it: the Xing frame of
// VBR files, called Info in CBR ones, the LAME extension of it, or the VBRI frame.
// All three are conventions of encoders without a standard.
type streamInfo struct {
	present bool
	frames  int64 // frames of audio, 0 when not said
	bytes   int64 // bytes from this frame on, 0 when not said
	trimmed bool  // delay and padding are known
	delay   int   // samples that the encoder put in front
	padding int   // and at the end
	lame    bool  // lame was the encoder, or a program that uses it
	steady  bool  // it says that all frames have one bit rate
}

// Flags of the Xing frame, and the lengths of what they announce.
const (
	xingFrames  = 1
	xingBytes   = 2
	xingTOC     = 4
	xingQuality = 8
	tocBytes    = 100

	lameDelay = 21 // place of delay and padding in the LAME extension
	vbriPlace = 36 // from the start of the frame
)

// parseInfo looks for such a frame in fr.
func parseInfo(fr *frame) streamInfo {
	b := fr.data
	if len(b) >= vbriPlace+18 && string(b[vbriPlace:vbriPlace+4]) == "VBRI" {
		v := b[vbriPlace:]
		return streamInfo{
			present: true,
			bytes:   int64(binary.BigEndian.Uint32(v[10:])),
			frames:  int64(binary.BigEndian.Uint32(v[14:])),
		}
	}
	// The place is that of a frame without CRC; some count the CRC in.
	for _, place := range [2]int{headerBytes + fr.sideInfoBytes(), fr.overhead()} {
		if len(b) < place+8 {
			continue
		}
		if s := string(b[place : place+4]); s == "Xing" || s == "Info" {
			info := parseXing(b[place+4:])
			info.steady = s == "Info"
			return info
		}
	}
	return streamInfo{}
}

// parseXing reads what follows the word Xing or Info.
func parseXing(b []byte) streamInfo {
	s := streamInfo{present: true}
	flags := binary.BigEndian.Uint32(b)
	b = b[4:]
	take := func(flag uint32, n int) (field []byte) {
		if flags&flag == 0 || len(b) < n {
			return nil
		}
		field, b = b[:n], b[n:]
		return field
	}
	if v := take(xingFrames, 4); v != nil {
		s.frames = int64(binary.BigEndian.Uint32(v))
	}
	if v := take(xingBytes, 4); v != nil {
		s.bytes = int64(binary.BigEndian.Uint32(v))
	}
	take(xingTOC, tocBytes)
	take(xingQuality, 4)
	if len(b) < lameDelay+3 || !encoderName(b[:4]) {
		return s
	}
	name := string(b[:4])
	s.lame = name == "LAME" || name == "Lavf" || name == "Lavc" // ffmpeg encodes with lame
	d := b[lameDelay:]
	s.delay = int(d[0])<<4 | int(d[1])>>4
	s.padding = int(d[1]&15)<<8 | int(d[2])
	s.trimmed = s.frames > 0 && s.delay|s.padding != 0
	return s
}

// encoderName tells whether b can begin the name of an encoder, as it does where
// the Xing frame has the LAME extension ("LAME3.100", "Lavf", "Lavc58.1", ...).
func encoderName(b []byte) bool {
	for _, c := range b {
		if c < ' ' || c > '~' {
			return false
		}
	}
	return true
}
