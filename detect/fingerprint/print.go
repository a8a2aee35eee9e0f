package fingerprint

import (
	"encoding/base64"
	"errors"
)

// Print is the sub-prints of a track, one every step, in the low 24 bits; 0 stands for
// nothing to hear.
type Print []uint32

const (
	// Step is the distance of the sub-prints in seconds.
	Step = 0.3715 / 2
	// leastPrint is the shortest print, in sub-prints: 16 s, see leastDistinct.
	leastPrint = 4 * blockSteps
	// version is the first byte of a print as bytes; another layout has another.
	version = 1
	// subBytes is the length of a sub-print as bytes.
	subBytes = bitsPrint / 8
)

// heard is in how many steps there is something to hear.
func (p Print) heard() (n int) {
	for _, v := range p {
		if v != 0 {
			n++
		}
	}
	return n
}

// Bytes is the form to store: the version, then three bytes a sub-print, the lowest
// first. It is nil for no print.
func (p Print) Bytes() []byte {
	if len(p) == 0 {
		return nil
	}
	b := make([]byte, 1, 1+subBytes*len(p))
	b[0] = version
	for _, v := range p {
		b = append(b, byte(v), byte(v>>8), byte(v>>16))
	}
	return b
}

// errPrint is of bytes that are no print.
var errPrint = errors.New("not a print of music")

// FromBytes reads what Bytes wrote.
func FromBytes(b []byte) (Print, error) {
	n := len(b) / subBytes
	if len(b)%subBytes != 1 || b[0] != version || n < leastPrint || float64(n) > maxSeconds/Step+1 {
		return nil, errPrint
	}
	p := make(Print, n)
	for i := range p {
		s := b[1+subBytes*i:]
		p[i] = uint32(s[0]) | uint32(s[1])<<8 | uint32(s[2])<<16
	}
	return p, nil
}

// Text is Bytes for JSON, in base64 (RFC 4648, clause 5, without padding); empty for no
// print.
func (p Print) Text() string { return base64.RawURLEncoding.EncodeToString(p.Bytes()) }

// BytesOf takes the bytes out of a text that Text wrote.
func BytesOf(text string) ([]byte, error) {
	b, err := base64.RawURLEncoding.DecodeString(text)
	if err == nil {
		_, err = FromBytes(b)
	}
	if err != nil {
		return nil, errPrint
	}
	return b, nil
}
