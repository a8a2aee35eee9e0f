package mp3

const (
	granuleSamples = 576 // samples, and lines of the spectrum, a granule
	subbands       = 32
	slots          = 18 // time slots a granule, lines a subband
	longBands      = 22 // scale factor bands; the last one has no scale factor
	shortBands     = 13
	mixedLines     = 36 // lines of the long windows of a mixed block
)

// bandTable holds the first lines of the scale factor bands and, last, 576
// for long blocks and 192 for short ones.
type bandTable struct {
	long  [longBands + 1]uint16
	short [shortBands + 1]uint16
}

// bands returns the scale factor bands of h.
func (h *header) bands() *bandTable { return &bandTables[h.bandIndex()] }

// bandIndex is 0 to 2 for MPEG-1, 3 to 5 for MPEG-2, 6 to 8 for MPEG-2.5.
func (h *header) bandIndex() int {
	switch h.version {
	case mpeg1:
		return int(h.rateIndex)
	case mpeg2:
		return 3 + int(h.rateIndex)
	}
	return 6 + int(h.rateIndex)
}

// bandTables are those of Table B.8 (44.1, 48, 32 kHz) and 13818-3 Table B.2
// (22.05, 24, 16 kHz; band 18 at 24 kHz starts at 332 in the corrected
// edition). MPEG-2.5 takes those of 16 kHz for 11.025 and 12 kHz; those for 8 kHz
// are as decoders have them.
var bandTables = [9]bandTable{
	{
		[23]uint16{0, 4, 8, 12, 16, 20, 24, 30, 36, 44, 52, 62, 74, 90, 110, 134, 162, 196, 238, 288, 342, 418, 576},
		[14]uint16{0, 4, 8, 12, 16, 22, 30, 40, 52, 66, 84, 106, 136, 192},
	},
	{
		[23]uint16{0, 4, 8, 12, 16, 20, 24, 30, 36, 42, 50, 60, 72, 88, 106, 128, 156, 190, 230, 276, 330, 384, 576},
		[14]uint16{0, 4, 8, 12, 16, 22, 28, 38, 50, 64, 80, 100, 126, 192},
	},
	{
		[23]uint16{0, 4, 8, 12, 16, 20, 24, 30, 36, 44, 54, 66, 82, 102, 126, 156, 194, 240, 296, 364, 448, 550, 576},
		[14]uint16{0, 4, 8, 12, 16, 22, 30, 42, 58, 78, 104, 138, 180, 192},
	},
	{
		lower,
		[14]uint16{0, 4, 8, 12, 18, 24, 32, 42, 56, 74, 100, 132, 174, 192},
	},
	{
		[23]uint16{0, 6, 12, 18, 24, 30, 36, 44, 54, 66, 80, 96, 114, 136, 162, 194, 232, 278, 332, 394, 464, 540, 576},
		[14]uint16{0, 4, 8, 12, 18, 26, 36, 48, 62, 80, 104, 136, 180, 192},
	},
	{lower, lowerShort},
	{lower, lowerShort},
	{lower, lowerShort},
	{
		[23]uint16{0, 12, 24, 36, 48, 60, 72, 88, 108, 132, 160, 192, 232, 280, 336, 400, 476, 566, 568, 570, 572, 574, 576},
		[14]uint16{0, 8, 16, 24, 36, 52, 72, 96, 124, 160, 162, 164, 166, 192},
	},
}

// lower and lowerShort are the bands that several low rates share.
var (
	lower      = [23]uint16{0, 6, 12, 18, 24, 30, 36, 44, 54, 66, 80, 96, 116, 140, 168, 200, 238, 284, 336, 396, 464, 522, 576}
	lowerShort = [14]uint16{0, 4, 8, 12, 18, 26, 36, 48, 62, 80, 104, 134, 174, 192}
)
