package pcm

// One-byte codings are read through a table of 256 values.
var (
	s8Table    = makeTable(func(b byte) float32 { return float32(int8(b)) * scale8 })
	u8Table    = makeTable(func(b byte) float32 { return (float32(b) - 128) * scale8 })
	alawTable  = makeTable(alaw)
	mulawTable = makeTable(mulaw)
)

func makeTable(f func(byte) float32) (t [256]float32) {
	for i := range t {
		t[i] = f(byte(i))
	}
	return t
}

// G.711 writes A-law as 13-bit and mu-law as 14-bit uniform values. Both are
// widened to 16 bits here, as is usual, so that they share the scale of pcm_s16.
const (
	signBit   = 0x80
	alawFlip  = 0x55 // every other bit is inverted on the line
	mulawBias = 0x84 // 33 in 14 bits
)

// alaw expands one A-law byte, ITU-T G.711 table 1.
//
//	sign s, segment e (3 bits), step m (4 bits), after inverting the even bits:
//	e = 0: ±(2m+1)·8   e > 0: ±(2m+33)·2^(e-1)·8, in units of 2^-15
func alaw(b byte) float32 {
	b ^= alawFlip
	e := (b >> 4) & 7
	v := int(b&15)<<4 + 8
	if e > 0 {
		v = (v + 0x100) << (e - 1)
	}
	if b&signBit == 0 {
		v = -v
	}
	return float32(v) * scale16
}

// mulaw expands one mu-law byte, ITU-T G.711 table 2.
//
//	all bits inverted: ±((2m+33)·2^e - 33)·4, in units of 2^-15
func mulaw(b byte) float32 {
	b = ^b
	v := (int(b&15)<<3+mulawBias)<<((b>>4)&7) - mulawBias
	if b&signBit != 0 {
		v = -v
	}
	return float32(v) * scale16
}
