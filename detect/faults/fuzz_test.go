package faults

import (
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// most is how many faults a track may have at the very most: the bounded lists of
// places, and a few of the whole track.
const most = 3*maxPlaces + 50

// samplesOf turns bytes into samples: each byte picks one, small ones and huge ones,
// zeros, full scale, and four raw bytes behind a mark.
func samplesOf(b []byte) []float32 {
	var x []float32
	for len(b) > 0 {
		v := b[0]
		b = b[1:]
		switch {
		case v == 255 && len(b) >= 4: // any float there is
			x = append(x, math.Float32frombits(binary.LittleEndian.Uint32(b)))
			b = b[4:]
		case v == 254 && len(b) >= 1: // a run of what came before
			last := float32(0)
			if len(x) > 0 {
				last = x[len(x)-1]
			}
			for range 40 * (int(b[0]) + 1) {
				x = append(x, last)
			}
			b = b[1:]
		case v == 253:
			x = append(x, math.MaxFloat32)
		case v == 252:
			x = append(x, -math.MaxFloat32)
		case v == 251 && len(b) >= 2: // a tone
			for i := range 40 * (int(b[0]) + 1) {
				x = append(x, float32(math.Sin(float64(i)*float64(b[1])/100)))
			}
			b = b[2:]
		default:
			x = append(x, float32(int(v)-128)/127)
		}
	}
	return x
}

// Whatever the samples, the rate and the channels: no panic, a bounded list of
// faults that lie inside the track, finite clip times.
func FuzzMeter(f *testing.F) {
	f.Add(2, 44100, 16, []byte("\xfb\xff\x05\xfe\xff\xfd\xfc\x80\x80\xfb\xff\x09\xff\x00\x00\x80\x7f"))
	f.Add(1, 8000, 24, []byte("\xfe\xff\xfe\xff\xfe\xff\xfb\xff\x30\xff\x00\x00\xc0\x7f\xfe\x80"))
	f.Add(8, 192000, 32, []byte("\x01\x02\x03\xff\xff\xff\x7f\xff\xfe\x10"))
	f.Add(2, math.MaxInt32-1, 16, []byte("\xfb\xff\x05\x80\x90"))
	f.Add(0, -1, 0, []byte("\xfd\xfc"))
	f.Fuzz(func(t *testing.T, channels, rate, depth int, b []byte) {
		channels, depth = 1+(channels&7), depth&63
		rate = 1 + rate&math.MaxInt32 // as large as a header can say, and more
		x := samplesOf(b[:min(len(b), 200)])
		if len(x) == 0 {
			return
		}
		audio := make([][]float32, channels)
		for c := range audio { // each channel begins elsewhere in the samples
			at := c * len(x) / channels
			audio[c] = append(append([]float32{}, x[at:]...), x[:at]...)
		}
		info := stream.Info{Format: "wav", Codec: "pcm_f32", SampleRate: rate, Channels: channels, BitDepth: depth, Frames: -1}
		r := run(info, audio)
		checkResult(t, r, float64(len(x))/float64(rate))
	})
}

// checkResult tests what holds for every track of so many seconds.
func checkResult(t *testing.T, r Result, seconds float64) {
	t.Helper()
	if len(r.Faults) > most || len(r.ClippedAt) > maxPlaces {
		t.Errorf("%d faults, %d clip times", len(r.Faults), len(r.ClippedAt))
	}
	for _, f := range r.Faults {
		if f.Kind.Sentence("", f.At) == "" || f.Detail == "" {
			t.Errorf("a fault without a name or a detail: %+v", f)
		}
		if !math.IsNaN(f.At) && (f.At < 0 || f.At > seconds) {
			t.Errorf("%+v lies outside of %g s", f, seconds)
		}
		if strings.Contains(f.Detail, "NaN") || strings.Contains(f.Detail, "Inf") {
			t.Errorf("a figure that is none: %+v", f)
		}
	}
	for _, at := range r.ClippedAt {
		if !(at >= 0 && at <= seconds) {
			t.Errorf("clipped at %g of %g s", at, seconds)
		}
	}
	if _, ok := parsePrint(r.Fingerprint); r.Fingerprint != "" && !ok {
		t.Errorf("a fingerprint that cannot be read: %q", r.Fingerprint)
	}
}
