package pcm

import (
	"encoding/binary"
	"math"
)

// kernel fills dst from every stride-th byte on of src, which begins with the
// first sample of the channel, and returns the number of values that were not
// finite and the index of the first of them.
type kernel func(dst []float32, src []byte, stride int) (bad, first int)

// Full scale of an integer of n bits is 2^(n-1).
const (
	scale8  = 1.0 / (1 << 7)
	scale16 = 1.0 / (1 << 15)
	scale24 = 1.0 / (1 << 23)
	scale32 = 1.0 / (1 << 31)
)

// kernel chooses the conversion; f has passed Check.
func (f Format) kernel() kernel {
	switch f.Encoding {
	case ALaw:
		return table(&alawTable)
	case MuLaw:
		return table(&mulawTable)
	case Float:
		return f.floatKernel()
	case Unsigned:
		if f.Bytes == 1 {
			return table(&u8Table)
		}
		return f.unsigned
	}
	return f.signedKernel()
}

func (f Format) signedKernel() kernel {
	switch {
	case f.Bytes == 1:
		return table(&s8Table)
	case f.Bytes == 2 && f.BigEndian:
		return s16be
	case f.Bytes == 2:
		return s16le
	case f.Bytes == 3 && f.BigEndian:
		return s24be
	case f.Bytes == 3:
		return s24le
	case f.BigEndian:
		return s32be
	case f.Low:
		return s24in32le
	}
	return s32le
}

func (f Format) floatKernel() kernel {
	var order binary.ByteOrder = binary.LittleEndian
	if f.BigEndian {
		order = binary.BigEndian
	}
	if f.Bytes == 8 {
		return f64(order)
	}
	if f.BigEndian {
		return f32be
	}
	return f32le
}

// unsigned reads offset binary, whose middle is silence: with its highest bit turned
// it is two's complement. Only 8 bits are common, which have a table.
func (f Format) unsigned(dst []float32, src []byte, stride int) (int, int) {
	for i := range dst {
		var u uint32 // left-aligned
		for k, b := range src[i*stride : i*stride+f.Bytes] {
			if f.BigEndian {
				k = f.Bytes - 1 - k
			}
			u |= uint32(b) << (32 - 8*f.Bytes + 8*k)
		}
		dst[i] = float32(int32(u^1<<31)) * scale32
	}
	return 0, 0
}

func table(t *[256]float32) kernel {
	return func(dst []float32, src []byte, stride int) (int, int) {
		o := 0
		for i := range dst {
			dst[i] = t[src[o]]
			o += stride
		}
		return 0, 0
	}
}

func s16le(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		s := src[o : o+2 : o+2]
		dst[i] = float32(int16(uint16(s[0])|uint16(s[1])<<8)) * scale16
		o += stride
	}
	return 0, 0
}

func s16be(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		s := src[o : o+2 : o+2]
		dst[i] = float32(int16(uint16(s[1])|uint16(s[0])<<8)) * scale16
		o += stride
	}
	return 0, 0
}

func s24le(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		s := src[o : o+3 : o+3]
		dst[i] = float32(int32(uint32(s[0])<<8|uint32(s[1])<<16|uint32(s[2])<<24)>>8) * scale24
		o += stride
	}
	return 0, 0
}

func s24be(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		s := src[o : o+3 : o+3]
		dst[i] = float32(int32(uint32(s[2])<<8|uint32(s[1])<<16|uint32(s[0])<<24)>>8) * scale24
		o += stride
	}
	return 0, 0
}

func s32le(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		dst[i] = float32(int32(binary.LittleEndian.Uint32(src[o:]))) * scale32
		o += stride
	}
	return 0, 0
}

func s24in32le(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		dst[i] = float32(int32(binary.LittleEndian.Uint32(src[o:]))) * scale24
		o += stride
	}
	return 0, 0
}

func s32be(dst []float32, src []byte, stride int) (int, int) {
	o := 0
	for i := range dst {
		dst[i] = float32(int32(binary.BigEndian.Uint32(src[o:]))) * scale32
		o += stride
	}
	return 0, 0
}

// exponent32 holds the exponent bits of a float32, all set in Inf and NaN.
const exponent32 = 0x7f800000

func f32le(dst []float32, src []byte, stride int) (bad, first int) {
	o := 0
	for i := range dst {
		u := binary.LittleEndian.Uint32(src[o:])
		if u&exponent32 == exponent32 {
			u = 0
			bad, first = count(bad, first, i)
		}
		dst[i] = math.Float32frombits(u)
		o += stride
	}
	return bad, first
}

func f32be(dst []float32, src []byte, stride int) (bad, first int) {
	o := 0
	for i := range dst {
		u := binary.BigEndian.Uint32(src[o:])
		if u&exponent32 == exponent32 {
			u = 0
			bad, first = count(bad, first, i)
		}
		dst[i] = math.Float32frombits(u)
		o += stride
	}
	return bad, first
}

// f64 rounds to float32; what overflows there counts as not finite.
func f64(order binary.ByteOrder) kernel {
	return func(dst []float32, src []byte, stride int) (bad, first int) {
		o := 0
		for i := range dst {
			v := float32(math.Float64frombits(order.Uint64(src[o:])))
			if math.Float32bits(v)&exponent32 == exponent32 {
				v = 0
				bad, first = count(bad, first, i)
			}
			dst[i] = v
			o += stride
		}
		return bad, first
	}
}

func count(bad, first, i int) (int, int) {
	if bad == 0 {
		first = i
	}
	return bad + 1, first
}
