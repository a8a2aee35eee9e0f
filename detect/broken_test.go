package detect

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"dubgauge/decode"
	"dubgauge/detect/reason"
)

const (
	brokenRate = 44100
	brokenHead = 44 // bytes of the WAV head
)

// brokenSong is a WAV file of 16 bits in stereo at 120 BPM: a kick and a bass in the
// middle, and a wide, dense pad that never rests. Beats lie on whole and half seconds.
func brokenSong(seconds int) []byte {
	rng := rand.New(rand.NewPCG(5, 9))
	n := seconds * brokenRate
	b := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00\x44\xac\x00\x00\x10\xb1\x02\x00\x04\x00\x10\x00data")
	b = binary.LittleEndian.AppendUint32(b, uint32(4*n))
	binary.LittleEndian.PutUint32(b[4:], uint32(36+4*n))
	var pad [2]float64
	for i := range n {
		t := float64(i) / brokenRate
		in := math.Mod(t, 0.5)
		low := 0.3*math.Exp(-in*10)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + 0.2*math.Sin(2*math.Pi*61.7*t)
		mid := 0.1 * rng.NormFloat64()
		for c := range pad {
			pad[c] += 0.15 * (mid + 0.06*rng.NormFloat64() - pad[c])
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(32767*(low+pad[c]+0.05*math.Sin(2*math.Pi*(331.3+float64(c))*t)))))
		}
	}
	return b
}

// at is the byte of a time in the song.
func at(seconds float64) int { return brokenHead + 4*int(math.Round(seconds*brokenRate)) }

// TestBrokenFiles measures files with what a stick or a copy does to them, in units of
// clusters from the file's first byte, beside what music does. A file may be ready only
// where no fault holds it back.
func TestBrokenFiles(t *testing.T) {
	if testing.Short() {
		t.Skip("measures ten tracks")
	}
	short, long := brokenSong(24), brokenSong(90)
	const kib = 1024
	for _, c := range []struct {
		name   string
		song   []byte
		change func(b []byte) []byte
		want   reason.Kind // "" for a file that nothing may be said of
	}{
		{"whole", short, func(b []byte) []byte { return b }, ""},
		{"64 KiB of zeros", short, func(b []byte) []byte { clear(b[1344*kib : 1408*kib]); return b }, reason.Hole},
		{"128 KiB of zeros", short, func(b []byte) []byte { clear(b[1344*kib : 1472*kib]); return b }, reason.Hole},
		{"a minute of zeros", long, func(b []byte) []byte { clear(b[2368*kib:][:60*brokenRate*4/4096*4096]); return b }, reason.Hole},
		{"zeros from the half on", short, func(b []byte) []byte { clear(b[len(b)/2/4096*4096:]); return b }, reason.Truncated},
		{"128 KiB of another kind of file", short, func(b []byte) []byte {
			r := rand.New(rand.NewPCG(1, 1))
			for i := range b[1344*kib : 1472*kib] {
				b[1344*kib+i] = byte(r.Uint32())
			}
			return b
		}, reason.Foreign},
		{"a cluster of 32 KiB twice", short, func(b []byte) []byte { copy(b[1376*kib:1408*kib], b[1344*kib:1376*kib]); return b }, reason.Repeat},
		{"a stop of a bar", short, func(b []byte) []byte { clear(b[at(8):at(10)]); return b }, ""},
		{"a break with a tail and a noise floor", short, func(b []byte) []byte {
			r := rand.New(rand.NewPCG(2, 2))
			for i := at(8.1); i < at(12.4); i += 2 {
				v := float64(int16(binary.LittleEndian.Uint16(b[i:]))) * math.Exp(-4*float64(i-at(8.1))/4/brokenRate)
				binary.LittleEndian.PutUint16(b[i:], uint16(int16(v+3*r.NormFloat64())))
			}
			return b
		}, ""},
		{"a fade and silence behind it", short, func(b []byte) []byte {
			for i := at(14); i < at(22); i += 2 {
				v := float64(int16(binary.LittleEndian.Uint16(b[i:]))) * math.Pow(1-float64(i-at(14))/float64(at(22)-at(14)), 2)
				binary.LittleEndian.PutUint16(b[i:], uint16(int16(v)))
			}
			clear(b[at(22):])
			return b
		}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(t.TempDir(), "t.wav")
			b := c.change(slices.Clone(c.song))
			if err := os.WriteFile(path, b, 0o600); err != nil {
				t.Fatal(err)
			}
			s, err := decode.Open(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			m, err := Analyze(t.Context(), s, int64(len(b)), nil)
			if err != nil {
				t.Fatal(err)
			}
			var said []reason.Kind
			for _, f := range m.Faults {
				// The pad is steady noise from end to end, which is hiss, and is named where nothing breaks it.
				if k := reason.Kind(f.Kind); k.Severity() > reason.Note && k != reason.Hiss {
					said = append(said, k)
				}
			}
			if c.want == "" && len(said) > 0 || c.want != "" && !slices.Contains(said, c.want) {
				t.Errorf("%v, want %q: %+v", said, c.want, m.Faults)
			}
		})
	}
}
