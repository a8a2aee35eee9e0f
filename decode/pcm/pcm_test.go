package pcm

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"math/rand"
	"testing"

	"dubgauge/decode/stream"
)

// slow is each conversion written out from its definition.
func slow(f Format, b []byte) float32 {
	var u uint64
	for i := range f.Bytes {
		at := f.Bytes - 1 - i
		if f.BigEndian {
			at = i
		}
		u = u<<8 | uint64(b[at])
	}
	bits := 8 * f.Bytes
	full := math.Exp2(float64(bits - 1))
	switch f.Encoding {
	case Float:
		v := float64(math.Float32frombits(uint32(u)))
		if f.Bytes == 8 {
			v = math.Float64frombits(u)
		}
		if v = float64(float32(v)); math.IsNaN(v) || math.IsInf(v, 0) {
			return 0
		}
		return float32(v)
	case Unsigned:
		return float32((float64(u) - full) / full)
	}
	return float32(float64(int64(u<<(64-bits))>>(64-bits)) / full)
}

// TestKernels compares every conversion with its definition, for one to eight
// channels and blocks of any length.
func TestKernels(t *testing.T) {
	var formats []Format
	for n := 1; n <= 4; n++ {
		for _, big := range []bool{false, true} {
			formats = append(formats, Format{Signed, 8 * n, n, big, false}, Format{Unsigned, 8 * n, n, big, false})
		}
	}
	for _, big := range []bool{false, true} {
		formats = append(formats, Format{Float, 32, 4, big, false}, Format{Float, 64, 8, big, false})
	}
	const frames = 1000
	rng := rand.New(rand.NewSource(1))
	for _, f := range formats {
		for channels := 1; channels <= stream.MaxChannels; channels++ {
			raw := make([]byte, frames*channels*f.Bytes)
			rng.Read(raw)
			r, err := NewReader(stream.Info{SampleRate: 44100, Channels: channels}, f, bytes.NewReader(raw), 0, int64(len(raw)), nil)
			if err != nil {
				t.Fatal(err)
			}
			dst := make([][]float32, channels)
			for at := 0; ; {
				for c := range dst {
					dst[c] = make([]float32, 1+at%97)
				}
				n, err := r.Read(dst)
				if err == io.EOF {
					if at != frames {
						t.Fatalf("%v: %d frames", f, at)
					}
					break
				}
				for i := range n {
					for c := range dst {
						want := slow(f, raw[((at+i)*channels+c)*f.Bytes:])
						if got := dst[c][i]; got != want {
							t.Fatalf("%+v: frame %d channel %d is %v, want %v", f, at+i, c, got, want)
						}
					}
				}
				at += n
			}
		}
	}
}

// TestNotFinite counts over all channels and blocks and keeps the first place.
func TestNotFinite(t *testing.T) {
	const rate, channels = 10000, 2
	values := make([]float32, 3000*channels)
	for _, i := range []int{1501, 2000, 5999} { // frames 750, 1000 and 2999
		values[i] = float32(math.NaN())
	}
	raw, err := binary.Append(nil, binary.LittleEndian, values)
	if err != nil {
		t.Fatal(err)
	}
	r, err := NewReader(stream.Info{SampleRate: rate, Channels: channels}, Format{Float, 32, 4, false, false}, bytes.NewReader(raw), 0, ToEnd, nil)
	if err != nil {
		t.Fatal(err)
	}
	dst := [][]float32{make([]float32, 100), make([]float32, 100)}
	for err == nil {
		_, err = r.Read(dst)
	}
	f := r.Faults()
	if err != io.EOF || len(f) != 1 || f[0].At != 0.075 || f[0].Detail != "3 values that are not finite numbers, taken as 0" {
		t.Errorf("%v, faults %v", err, f)
	}
}
