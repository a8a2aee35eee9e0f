package scan

import (
	"bytes"
	"encoding/binary"
)

// isAudio looks for the signatures of audio files.
func isAudio(h []byte) bool {
	at := func(offset int, sign string) bool {
		return len(h) >= offset+len(sign) && string(h[offset:offset+len(sign)]) == sign
	}
	switch {
	case at(8, "WAVE"):
		return at(0, "RIFF") || at(0, "RF64") || at(0, "BW64") || at(0, "RIFX")
	case at(0, "FORM"):
		return at(8, "AIFF") || at(8, "AIFC")
	case at(0, "OggS"):
		return !bytes.Contains(h, []byte("\x80theora"))
	case at(4, "ftyp"):
		return at(8, "M4A") || at(8, "M4B")
	case at(0, "fLaC"), at(0, "ID3"), at(0, "wvpk"), at(0, "MAC "), at(0, "DSD "), at(0, "TTA1"), at(0, "caff"):
		return true
	}
	return twoMP3Frames(h)
}

// twoMP3Frames looks for a frame of MPEG audio layer III (ISO 11172-3, 2.4.1.3)
// at the start and for another of the same kind where it ends: one alone
// happens by chance.
func twoMP3Frames(h []byte) bool {
	n := mp3FrameBytes(h)
	if n == 0 || len(h) < n+4 || mp3FrameBytes(h[n:]) == 0 {
		return false
	}
	const kind = 0xfffe0c00 // sync, version, layer, sampling rate
	return (binary.BigEndian.Uint32(h)^binary.BigEndian.Uint32(h[n:]))&kind == 0
}

func mp3FrameBytes(h []byte) int {
	if len(h) < 4 || h[0] != 0xff || h[1]&0xe0 != 0xe0 || h[1]&0x06 != 0x02 {
		return 0
	}
	version := int(h[1]>>3) & 3 // 0 is 2.5, 2 is 2, 3 is 1
	rates := [3]int{44100, 48000, 32000}
	if version == 1 || h[2]>>2&3 == 3 {
		return 0
	}
	rate := rates[h[2]>>2&3]
	kbps := [16]int{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320}
	samples := 1152
	if version != 3 {
		kbps = [16]int{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160}
		samples = 576
		rate /= 2
		if version == 0 {
			rate /= 2
		}
	}
	k := kbps[h[2]>>4]
	if k == 0 {
		return 0
	}
	return samples/8*k*1000/rate + int(h[2]>>1&1)
}
