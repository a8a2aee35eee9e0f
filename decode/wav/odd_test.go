package wav

import (
	"bytes"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// low32 writes samples of 24 bits at the low end of 32, high32 at the high end.
func low32(samples []int32) []byte {
	var b []byte
	for _, v := range samples {
		b = le.AppendUint32(b, uint32(v))
	}
	return b
}

func high32(samples []int32) []byte {
	var b []byte
	for _, v := range samples {
		b = le.AppendUint32(b, uint32(v)<<8)
	}
	return b
}

// sound24 is a tone at half scale with noise, in 24 bits.
func sound24(n int) []int32 {
	rng := rand.New(rand.NewSource(5))
	out := make([]int32, n)
	for i := range out {
		out[i] = int32(1<<22*math.Sin(float64(i)/20)) + int32(rng.Intn(1000)-500)
	}
	return out
}

// TestJustification reads 24 bits at either end of 32. At the low end they are read as
// meant where the header says 24, and as written where it says 32; both are named.
// What a whole file of 32 bits, or a quiet one, looks like is not.
func TestJustification(t *testing.T) {
	sound := sound24(50_000)
	quiet := make([]int32, len(sound))
	for i, v := range sound {
		quiet[i] = v >> 8
	}
	late := slices.Clone(sound)
	late[30_000] = 1 << 23 // one sample that uses the highest byte
	plain24 := part{id: "fmt ", body: format(le, tagPCM, 1, 48000, 4, 24)}
	valid24 := part{id: "fmt ", body: extensible(1, 4, 32, 24, 4, tagPCM)}
	plain32 := part{id: "fmt ", body: format(le, tagPCM, 1, 48000, 4, 32)}
	const full24, full32 = 1 << 23, 1 << 31
	for _, c := range []struct {
		name    string
		format  part
		data    []byte
		samples []int32
		full    float64
		fault   string
	}{
		{"24 at the low end", plain24, low32(sound), sound, full24, "read as they are meant"},
		{"24 at the low end, extensible", valid24, low32(sound), sound, full24, "read as they are meant"},
		{"24 at the high end", plain24, high32(sound), sound, full24, ""},
		{"24 at the high end, extensible", valid24, high32(sound), sound, full24, ""},
		{"32 that look like 24 at the low end", plain32, low32(sound), sound, full32, "read as they stand"},
		{"32 but for one sample", plain32, low32(late), late, full32, ""},
		{"24 in quiet music at the high end", plain24, high32(quiet), quiet, full24, ""},
		{"32 in very quiet music", plain32, low32(quiet), quiet, full32, ""},
		{"24 in silence", plain24, make([]byte, 4000), make([]int32, 1000), full24, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := open(riff("RIFF", le, c.format, part{id: "data", body: c.data}))
			if err != nil {
				t.Fatal(err)
			}
			for i, v := range readAll(t, s) {
				if want := float32(float64(c.samples[i]) / c.full); v != want {
					t.Fatalf("sample %d is %v, want %v", i, v, want)
				}
			}
			f := s.Faults()
			if c.fault == "" && len(f) > 0 || c.fault != "" && (len(f) != 1 || f[0].Kind != stream.Unsupported || !strings.Contains(f[0].Detail, c.fault)) {
				t.Errorf("faults %v, want %q", f, c.fault)
			}
		})
	}
}

// loud16 is a tone at half scale.
func loud16(n int) []byte {
	x := make([]int16, n)
	for i := range x {
		x[i] = int16(16000 * math.Sin(float64(i)/20+1))
	}
	return le16(x...)
}

// faultsOf reads a file to its end.
func faultsOf(t *testing.T, file []byte) ([]float32, []stream.Error) {
	t.Helper()
	s, err := open(file)
	if err != nil {
		t.Fatal(err)
	}
	return readAll(t, s), s.Faults()
}

// TestFurtherData names a second data chunk, with the time at which the music stops.
// Chunks of other kinds and a scrap are none.
func TestFurtherData(t *testing.T) {
	one, two := part{id: "data", body: loud16(88200)}, part{id: "data", body: loud16(44100)}
	list := part{id: "LIST", body: []byte("INFOIABC")}
	for name, file := range map[string][]byte{
		"at once":       riff("RIFF", le, fmt1, one, two),
		"behind a list": riff("RIFF", le, fmt1, one, list, two),
		"before fmt":    riff("RIFF", le, one, two, fmt1),
		"cut off":       riff("RIFF", le, fmt1, one, part{id: "data", body: loud16(44100), lie: true, size: 1 << 20}),
	} {
		got, f := faultsOf(t, file)
		if len(got) != 88200 || len(f) != 1 || f[0].Kind != stream.Damaged || math.Abs(f[0].At-2) > 1e-9 || !strings.Contains(f[0].Detail, "the 1.0 s behind it are not read") {
			t.Errorf("%s: %d samples, faults %v", name, len(got), f)
		}
	}
	for name, file := range map[string][]byte{
		"none":             riff("RIFF", le, fmt1, one, list),
		"a scrap":          riff("RIFF", le, fmt1, one, part{id: "data", body: loud16(4000)}),
		"data in a list":   riff("RIFF", le, fmt1, one, part{id: "LIST", body: append([]byte("adtldata\x00\x40\x00\x00"), make([]byte, 0x4000)...)}),
		"an empty one":     riff("RIFF", le, fmt1, one, part{id: "data"}),
		"a foreign chunk ": riff("RIFF", le, fmt1, one, part{id: "abcd", body: loud16(44100)}),
	} {
		if got, f := faultsOf(t, file); len(got) != 88200 || len(f) != 0 {
			t.Errorf("%s: %d samples, faults %v", name, len(got), f)
		}
	}
}

// TestStoppedCopy names a copy that stopped at a cluster's edge, and its time. A
// track that fades out, one that ends hard at another place, and a break are none.
func TestStoppedCopy(t *testing.T) {
	tail := part{id: "LIST", body: []byte("INFOIABC")}
	whole := riff("RIFF", le, fmt1, part{id: "data", body: loud16(200_000)}, tail)
	for _, edge := range []int{4096, 65536, 262144} {
		file := slices.Clone(whole)
		clear(file[edge:])
		got, f := faultsOf(t, file)
		at := float64(edge-44) / 2 / 44100
		if len(got) != 200_000 || len(f) != 1 || f[0].Kind != stream.Truncated || math.Abs(f[0].At-at) > 1e-4 || f[0].Offset != int64(edge) {
			t.Errorf("stopped at byte %d: %v", edge, f)
		}
	}
	healthy := func(name string, change func(b []byte) []byte) {
		if _, f := faultsOf(t, change(slices.Clone(whole))); len(f) > 0 {
			t.Errorf("%s: %v", name, f)
		}
	}
	healthy("whole", func(b []byte) []byte { return b })
	healthy("ends hard elsewhere", func(b []byte) []byte { clear(b[65536+100 : len(b)-16]); return b[:len(b)-16] })
	healthy("ends hard ten frames before a cluster's edge", func(b []byte) []byte { clear(b[65536-20 : len(b)-16]); return b[:len(b)-16] })
	healthy("a break", func(b []byte) []byte { clear(b[65536:262144]); return b })
	healthy("tags behind the silence", func(b []byte) []byte { clear(b[65536 : len(b)-16]); return b })
	healthy("a fade", func(b []byte) []byte {
		for i := 65536 - 20000; i < 65536; i += 2 {
			v := float64(int16(le.Uint16(b[i:]))) * float64(65536-i) / 20000
			le.PutUint16(b[i:], uint16(int16(v*v/32768)))
		}
		clear(b[65536:])
		return b
	})
	healthy("silence", func(b []byte) []byte { clear(b[44:]); return b })
	healthy("a few zeros at the end", func(b []byte) []byte { clear(b[len(b)/4096*4096:]); return b[:len(b)-16] })
	if bytes.Equal(whole[65536:65540], []byte{0, 0, 0, 0}) {
		t.Fatal("the test's sound is silent at the edge")
	}
}

// TestRIFXExtensible reads the sub-format of a big-endian file in the three ways in
// which writers put it down.
func TestRIFXExtensible(t *testing.T) {
	head := format(be, tagExtensible, 1, 48000, 2, 16)
	head = be.AppendUint16(head, 22)
	head = be.AppendUint16(head, 16)
	head = be.AppendUint32(head, 4)
	rest := mediaSubtype[6:]
	for name, guid := range map[string][]byte{
		"32 bits":     slices.Concat([]byte{0, 0, 0, 1, 0, 0, 0, 0x10}, rest),
		"16 bits":     slices.Concat([]byte{0, 1}, mediaSubtype),
		"as in RIFF":  slices.Concat([]byte{1, 0}, mediaSubtype),
		"float, long": slices.Concat([]byte{0, 0, 0, 3, 0, 0, 0, 0x10}, rest),
	} {
		b := slices.Concat(head, guid)
		data, want := []byte{0x40, 0, 0x80, 0}, []float32{0.5, -1}
		if name == "float, long" {
			b[13], b[15], b[19] = 4, 32, 32
			be.PutUint32(b[8:], 48000*4)
			data, want = floats32(be, 1.5), []float32{1.5}
		}
		s, err := open(riff("RIFX", be, part{id: "fmt ", body: b}, part{id: "data", body: data}))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := readAll(t, s); !slices.Equal(got, want) || len(s.Faults()) > 0 {
			t.Errorf("%s: %v, faults %v", name, got, s.Faults())
		}
	}
	odd := slices.Concat(head, []byte{0, 0, 0, 1, 0, 0, 0, 0x10}, bytes.Repeat([]byte{9}, 8))
	if _, err := open(riff("RIFX", be, part{id: "fmt ", body: odd}, part{id: "data", body: four})); err == nil {
		t.Error("a sub-format that is not known is read")
	}
}
