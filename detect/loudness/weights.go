package loudness

import "math/bits"

// Loudspeaker positions of WAVEFORMATEXTENSIBLE's dwChannelMask that matter
// here.
const (
	lowFrequency = 1 << 3
	backLeft     = 1 << 4
	backRight    = 1 << 5
	sideLeft     = 1 << 9
	sideRight    = 1 << 10
)

// surroundWeight is G of the channels at the side (BS.1770-5 annex 1, table 3
// gives 1.41; annex 3 states it as 1.5 dB).
const surroundWeight = 1.41

// defaultMasks says what a file of 1 to 8 channels holds when it does not say:
// mono, stereo, L R C, L R Ls Rs, L R C Ls Rs, 5.1, 6.1 and 7.1 in the order of
// dwChannelMask.
var defaultMasks = []uint32{0x4, 0x3, 0x7, 0x33, 0x37, 0x3F, 0x70F, 0x63F}

// Weights gives the weight G of each channel by BS.1770-5 annex 3: 1.41 for
// loudspeakers 60 to 120 degrees from the front and less than 30 degrees high,
// 0 for the low-frequency channel, 1 for all others.
//
// mask is WAVEFORMATEXTENSIBLE's dwChannelMask, 0 for unknown. The "back" pair
// of quadraphonic, 5.0 and 5.1 files is the surround pair at 110 degrees; where
// there are side loudspeakers too, as in 7.1, it stands behind the listener and
// weighs 1. A mono file counts as one channel. Channels beyond those of the
// mask weigh 1.
func Weights(channels int, mask uint32) []float64 {
	if mask == 0 && channels >= 1 && channels <= len(defaultMasks) {
		mask = defaultMasks[channels-1]
	}
	surround := uint32(backLeft | backRight)
	if mask&(sideLeft|sideRight) != 0 {
		surround = sideLeft | sideRight
	}
	w := make([]float64, channels)
	for c := range w {
		position := uint32(1) << bits.TrailingZeros32(mask) // 0 when none is left
		mask &^= position
		switch {
		case position&lowFrequency != 0:
			w[c] = 0
		case position&surround != 0:
			w[c] = surroundWeight
		default:
			w[c] = 1
		}
	}
	return w
}
