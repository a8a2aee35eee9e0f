package flac

// The two checksums of RFC 9639, section 9.1.8 and 9.3: both start from 0, most
// significant bit first.
const (
	crc8Poly  = 0x07   // x^8 + x^2 + x + 1, of the frame header
	crc16Poly = 0x8005 // x^16 + x^15 + x^2 + 1, of the whole frame
)

var crc8Table = func() (t [256]uint8) {
	for i := range t {
		c := uint8(i)
		for range 8 {
			if c&0x80 != 0 {
				c = c<<1 ^ crc8Poly
			} else {
				c <<= 1
			}
		}
		t[i] = c
	}
	return t
}()

// crc16Tables[k][b] is the effect of byte b followed by k zero bytes, so that
// eight bytes can be taken at a time.
var crc16Tables = func() (t [8][256]uint16) {
	for i := range 256 {
		c := uint16(i) << 8
		for range 8 {
			if c&0x8000 != 0 {
				c = c<<1 ^ crc16Poly
			} else {
				c <<= 1
			}
		}
		t[0][i] = c
	}
	for k := 1; k < 8; k++ {
		for i, c := range t[k-1] {
			t[k][i] = c<<8 ^ t[0][c>>8]
		}
	}
	return t
}()

func crc8(b []byte) (c uint8) {
	for _, v := range b {
		c = crc8Table[c^v]
	}
	return c
}

func crc16(b []byte) (c uint16) {
	t := &crc16Tables
	for ; len(b) >= 8; b = b[8:] {
		c = t[7][b[0]^byte(c>>8)] ^ t[6][b[1]^byte(c)] ^ t[5][b[2]] ^ t[4][b[3]] ^
			t[3][b[4]] ^ t[2][b[5]] ^ t[1][b[6]] ^ t[0][b[7]]
	}
	for _, v := range b {
		c = c<<8 ^ t[0][byte(c>>8)^v]
	}
	return c
}
