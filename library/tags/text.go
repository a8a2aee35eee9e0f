package tags

import (
	"bytes"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// latin decodes bytes that are declared, or for want of a declaration taken, to
// be ISO 8859-1. Bytes 80-9F, which are control characters there, are read as
// Windows-1252, and bytes that form valid UTF-8 beyond ASCII as UTF-8: both is
// what writers put there, and the strict reading gives no text at all.
func latin(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	s, err := charmap.Windows1252.NewDecoder().Bytes(b)
	if err != nil {
		return strings.ToValidUTF8(string(b), string(utf8.RuneError))
	}
	return string(s)
}

// utf8Text decodes bytes declared to be UTF-8; where they are not, as latin.
func utf8Text(b []byte) string { return latin(b) }

// utf16Text decodes UTF-16. A byte order mark overrules bigEndian; an odd last
// byte is dropped. Without a mark, text whose every high byte would be nonzero and
// every low byte zero is of the other order.
func utf16Text(b []byte, bigEndian, guess bool) string {
	b = b[:len(b)&^1]
	if len(b) >= 2 {
		switch {
		case b[0] == 0xFE && b[1] == 0xFF:
			bigEndian, guess, b = true, false, b[2:]
		case b[0] == 0xFF && b[1] == 0xFE:
			bigEndian, guess, b = false, false, b[2:]
		}
	}
	if guess {
		bigEndian = looksBigEndian(b)
	}
	u := make([]uint16, len(b)/2)
	for i := range u {
		hi, lo := b[2*i+1], b[2*i]
		if bigEndian {
			hi, lo = lo, hi
		}
		u[i] = uint16(hi)<<8 | uint16(lo)
	}
	return string(utf16.Decode(u))
}

// looksBigEndian guesses the order of UTF-16 without a mark: most text is Latin,
// so the zeros are the high bytes.
func looksBigEndian(b []byte) bool {
	first, second := 0, 0
	for i := 0; i+1 < len(b); i += 2 {
		if b[i] == 0 {
			first++
		}
		if b[i+1] == 0 {
			second++
		}
	}
	return first > second
}

// cutNUL returns b up to its first NUL.
func cutNUL(b []byte) []byte {
	if i := bytes.IndexByte(b, 0); i >= 0 {
		return b[:i]
	}
	return b
}
