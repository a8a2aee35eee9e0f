package mp3

// version is the 2-bit ID of a frame header, with the bit that MPEG-2.5 took
// from the sync word (clause 2.4.2.3).
type version uint8

const (
	mpeg25 version = 0
	mpeg2  version = 2
	mpeg1  version = 3
)

// The layers and modes by their codes in the header (clause 2.4.2.3).
const (
	layerIII = 1
	layerII  = 2
	layerI   = 3

	modeJoint = 1
	modeMono  = 3

	extIntensity = 1 // mode_extension in Layer III
	extMidSide   = 2
)

// headerBytes is the length of a frame header, crcBytes that of the CRC which
// may follow.
const (
	headerBytes = 4
	crcBytes    = 2
)

// header is a frame header, decoded (clause 2.4.1.3).
type header struct {
	version   version
	layer     uint8
	protected bool // a CRC follows the header
	bitrate   int  // kbit/s, 0 for free format
	rateIndex uint8
	padding   int // bytes in Layer III
	mode      uint8
	modeExt   uint8
	bits      uint32
}

// bitrates are in kbit/s by bitrate_index, for MPEG-1 (clause 2.4.2.3) and for
// MPEG-2 and 2.5 (13818-3, clause 2.4.2.3), by the layer's code.
var bitrates = [2][4][15]int{
	{
		layerIII: {0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320},
		layerII:  {0, 32, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320, 384},
		layerI:   {0, 32, 64, 96, 128, 160, 192, 224, 256, 288, 320, 352, 384, 416, 448},
	},
	{
		layerIII: {0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
		layerII:  {0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160},
		layerI:   {0, 32, 48, 56, 64, 80, 96, 112, 128, 144, 160, 176, 192, 224, 256},
	},
}

// sampleRates are in hertz by sampling_frequency, for MPEG-1; MPEG-2 has half
// and MPEG-2.5 a quarter of them.
var sampleRates = [3]int{44100, 48000, 32000}

// parseHeader decodes the four bytes of a frame header. It refuses the codes
// that the standard forbids or reserves and that leave a frame unreadable; it takes
// all three layers, so that Layer I and II can be refused by name. The reserved
// emphasis changes nothing in the decoding, so that it is taken.
func parseHeader(b uint32) (h header, ok bool) {
	h.version = version(b >> 19 & 3)
	h.layer = uint8(b >> 17 & 3)
	index := b >> 12 & 15
	h.rateIndex = uint8(b >> 10 & 3)
	if b>>21 != 0x7FF || h.version == 1 || h.layer == 0 || index == 15 || h.rateIndex == 3 {
		return header{}, false
	}
	h.protected = b>>16&1 == 0
	h.padding = int(b >> 9 & 1)
	h.mode = uint8(b >> 6 & 3)
	h.modeExt = uint8(b >> 4 & 3)
	h.bits = b
	h.bitrate = bitrates[h.lsf()][h.layer][index]
	return h, true
}

// lsf is 1 for the lower sampling frequencies of MPEG-2 and MPEG-2.5, else 0.
func (h *header) lsf() int {
	if h.version == mpeg1 {
		return 0
	}
	return 1
}

// sampleRate is in hertz.
func (h *header) sampleRate() int {
	r := sampleRates[h.rateIndex]
	switch h.version {
	case mpeg2:
		return r / 2
	case mpeg25:
		return r / 4
	}
	return r
}

func (h *header) channels() int {
	if h.mode == modeMono {
		return 1
	}
	return 2
}

// granules of 576 samples a frame.
func (h *header) granules() int { return 2 - h.lsf() }

// samples a channel and frame.
func (h *header) samples() int { return granuleSamples * h.granules() }

// frameBytes is the length of the frame with its header (clause 2.4.3.1):
//
//	floor(144 * bitrate / rate) + padding     MPEG-1
//	floor( 72 * bitrate / rate) + padding     MPEG-2 and 2.5
//
// and, to step over layers that are not decoded,
//
//	floor(144 * bitrate / rate) + padding     Layer II
//	(floor(12 * bitrate / rate) + padding) * 4    Layer I
//
// freeBytes is the length without padding in free format, where the bit rate
// is not in the header.
func (h *header) frameBytes(freeBytes int) int {
	if h.bitrate == 0 {
		return freeBytes + h.padding
	}
	switch h.layer {
	case layerI:
		return (12*h.bitrate*1000/h.sampleRate() + h.padding) * 4
	case layerII:
		return 144*h.bitrate*1000/h.sampleRate() + h.padding
	}
	return 72*h.granules()*h.bitrate*1000/h.sampleRate() + h.padding
}

// sideInfoBytes is the length of the side information (clause 2.4.1.7).
func (h *header) sideInfoBytes() int {
	switch {
	case h.lsf() == 0 && h.mode != modeMono:
		return 32
	case h.lsf() == 1 && h.mode == modeMono:
		return 9
	}
	return 17
}

// overhead is the length of all that comes before the frame's main data.
func (h *header) overhead() int {
	n := headerBytes + h.sideInfoBytes()
	if h.protected {
		n += crcBytes
	}
	return n
}

// sameStream masks the header bits that all frames of a stream have in common:
// sync, version, layer and sampling frequency. Whether there is a CRC is each
// frame's own affair: a VBRI frame has none in front of audio that has.
const sameStream = 0xFFFE0C00

// continues tells whether g can be the header of a frame behind one with header h
// in the same stream, perhaps with another number of channels.
func (h *header) continues(g *header) bool {
	return (h.bits^g.bits)&sameStream == 0 && (h.bitrate == 0) == (g.bitrate == 0)
}
