package mp3

import (
	"errors"
	"math"
)

// suspect finds frames that can be decoded and yet can't be meant. A damaged
// byte seldom breaks a rule of the format: it makes other values, which may be
// loud. But encoders have habits. Most end the codes of each granule at the very bit
// that the side information names, and write a CRC that is right or one that
// is always wrong. A granule that breaks a long habit is damaged; where many break it
// in a row, another encoder has taken over. Close to a place where a rule of the
// format was broken (a lost sync, a CRC, a reservoir that does not reach, codes that
// lead too far) a granule is damaged too if it is louder than all before it and than
// any recording, or than what surrounds it. Level alone is no reason to mute
// anything.
type suspect struct {
	ends, crcs habit
	lame       bool       // the file says that lame made it
	highest    [2]float32 // highest level of a channel so far, as the sum of the squares of a spectrum
	recent     [2]float32 // the same, decaying
	alert      int        // granules for which other damage is close
}

const (
	// loudest is the energy of a spectrum that is believed in without a precedent when
	// damage is close: a sine at full scale has 1; this is 12 dB over it.
	loudest = 16
	// jump is 6 dB, in energy.
	jump = 4
	// recentDecay is what recent loses a granule: 6 dB in 0.18 s.
	recentDecay = 0.9
	// quietest is the lowest level, as a part of the highest, that is taken for that of
	// the surroundings, so that a new start after a break is not lost.
	quietest = 1.0 / 256
	// alertGranules is how long other damage is close: as long as main data
	// may be in the reservoir at low bit rates.
	alertGranules = 24
)

// wounded notes that the current granule is damaged.
func (s *suspect) wounded() { s.alert = alertGranules }

// habit counts how often something held and did not.
type habit struct{ held, broken, inRow int }

const (
	// habitMin is how often a thing must have held before a break of it counts: 13 s of
	// stereo.
	habitMin = 2000
	// habitMinLame is the same in files of lame.
	habitMinLame = 24
	// habitShare is how many times more often it must have held than not.
	habitShare = 12
	// habitRow is how many breaks in a row end a habit: the granules of two frames in
	// stereo. Damage that goes on for longer breaks rules of the format too.
	habitRow = 8
)

var (
	errEnd   = errors.New("the codes of a granule end at the wrong place")
	errCRC   = errors.New("the CRC of a frame's side information is wrong")
	errLevel = errors.New("a granule is impossibly loud")
)

// breaks records whether the thing held, and tells whether a habit of at least so many
// times was broken.
func (t *habit) breaks(held bool, least int) bool {
	if held {
		t.held++
		t.inRow = 0
		return false
	}
	t.broken++
	if t.inRow++; t.inRow >= habitRow {
		*t = habit{}
	}
	return t.held >= least && t.held >= habitShare*t.broken
}

func (s *suspect) least() int {
	if s.lame {
		return habitMinLame
	}
	return habitMin
}

// check judges a granule of channel ch: exact tells whether its codes ended where
// they should, energy is that of its spectrum.
func (s *suspect) check(ch int, exact bool, energy float32) error {
	if s.ends.breaks(exact, s.least()) {
		return errEnd
	}
	limit := float32(math.MaxFloat32)
	if s.alert > 0 {
		s.alert--
		limit = max(loudest, jump*s.highest[ch])
		if around := max(s.recent[ch], s.highest[ch]*quietest); around > 0 {
			limit = min(limit, jump*around)
		}
	}
	s.highest[ch] = max(s.highest[ch], energy)
	s.recent[ch] = max(s.recent[ch]*recentDecay, min(energy, limit))
	if energy > limit {
		return errLevel
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
	if s.crcs.breaks(crc == want, s.least()) {
		s.wounded()
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
