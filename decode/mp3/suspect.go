package mp3

import "errors"

// suspect finds frames that can be decoded and yet can't be meant. A damaged
// byte seldom breaks a rule of the format: it makes other values, which may be
// loud. But encoders have habits. Most end the codes of each granule at the very bit
// that the side information names, and write a CRC that is right or one that
// is always wrong. A granule that breaks a long habit is damaged.
type suspect struct {
	ends, crcs habit
}

// habit counts how often something held and did not.
type habit struct{ held, broken int }

const (
	// habitMin is how often a thing must have held before a break of it counts.
	habitMin = 24
	// habitShare is how many times more often it must have held than not.
	habitShare = 12
)

var (
	errEnd = errors.New("a granule's codes end at the wrong place")
	errCRC = errors.New("the CRC of a frame's side information is wrong")
)

// breaks records whether the thing held, and tells whether a habit was broken.
func (t *habit) breaks(held bool) bool {
	if held {
		t.held++
		return false
	}
	t.broken++
	return t.held >= habitMin && t.held >= habitShare*t.broken
}

// check judges a granule of one channel: exact tells whether its codes ended where
// they should.
func (s *suspect) check(exact bool) error {
	if s.ends.breaks(exact) {
		return errEnd
	}
	return nil
}

// checkCRC compares the CRC of a frame that has one with that of its header and
// side information (clause 2.4.3.1 and Figure A.9):
//
//	CRC-16, polynomial x^16 + x^15 + x^2 + 1, all ones first, over the last two
//	bytes of the header and the side information
func (s *suspect) checkCRC(fr *frame) error {
	if !fr.protected {
		return nil
	}
	crc := crc16(0xFFFF, fr.data[2:headerBytes])
	crc = crc16(crc, fr.data[headerBytes+crcBytes:fr.overhead()])
	want := uint16(fr.data[4])<<8 | uint16(fr.data[5])
	if s.crcs.breaks(crc == want) {
		return errCRC
	}
	return nil
}

func crc16(crc uint16, b []byte) uint16 {
	for _, v := range b {
		crc ^= uint16(v) << 8
		for range 8 {
			carry := crc >> 15
			crc = crc<<1 ^ carry*0x8005
		}
	}
	return crc
}
