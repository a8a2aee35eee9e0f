package external

import (
	"encoding/binary"
	"fmt"
	"io"

	"dubgauge/decode/stream"
)

// readHeader reads the head of the WAV stream that ffmpeg writes: chunks up to and
// with the head of the data chunk. The samples that follow are 32-bit floats,
// little-endian.
func readHeader(r io.Reader) (info stream.Info, err error) {
	var b [40]byte
	if _, err := io.ReadFull(r, b[:12]); err != nil {
		return info, err
	}
	if string(b[:4]) != "RIFF" && string(b[:4]) != "RF64" || string(b[8:12]) != "WAVE" {
		return info, fmt.Errorf("ffmpeg wrote %q where a WAV header was asked for", b[:12])
	}
	for {
		if _, err := io.ReadFull(r, b[:8]); err != nil {
			return info, err
		}
		size := int64(binary.LittleEndian.Uint32(b[4:]))
		switch string(b[:4]) {
		case "data":
			return info, nil
		case "fmt ":
			if size < 16 {
				return info, fmt.Errorf("ffmpeg wrote a fmt chunk of %d bytes", size)
			}
			n := min(size, int64(len(b)))
			if _, err := io.ReadFull(r, b[:n]); err != nil {
				return info, err
			}
			info.Channels = int(binary.LittleEndian.Uint16(b[2:]))
			info.SampleRate = int(binary.LittleEndian.Uint32(b[4:]))
			if bits := binary.LittleEndian.Uint16(b[14:]); bits != 32 {
				return info, fmt.Errorf("ffmpeg wrote samples of %d bits, 32 were asked for", bits)
			}
			if n == 40 {
				info.ChannelMask = binary.LittleEndian.Uint32(b[20:])
			}
			size -= n
		}
		if _, err := io.CopyN(io.Discard, r, size+size&1); err != nil {
			return info, err
		}
	}
}
