package aiff

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

var be = binary.BigEndian

// part is one chunk as a test writes it. With lie, size stands in its header
// whatever the body; bare leaves out the pad byte of an odd body.
type part struct {
	id   string
	body []byte
	lie  bool
	size uint32
	bare bool
}

// form builds a file of parts; kind is AIFF or AIFC.
func form(kind string, parts ...part) []byte {
	var b []byte
	for _, p := range parts {
		size := uint32(len(p.body))
		if p.lie {
			size = p.size
		}
		b = be.AppendUint32(append(b, p.id...), size)
		b = append(b, p.body...)
		if len(p.body)%2 == 1 && !p.bare {
			b = append(b, 0)
		}
	}
	head := be.AppendUint32([]byte("FORM"), uint32(4+len(b)))
	return append(append(head, kind...), b...)
}

// rate44100 is 44100 as an 80-bit float: 44100 = 0xac44, exponent 15.
var rate44100 = []byte{0x40, 0x0e, 0xac, 0x44, 0, 0, 0, 0, 0, 0}

// comm builds a COMM chunk; compression is "" for plain AIFF.
func comm(channels uint16, frames uint32, bits uint16, rate []byte, compression string) part {
	b := be.AppendUint16(nil, channels)
	b = be.AppendUint32(b, frames)
	b = be.AppendUint16(b, bits)
	b = append(b, rate...)
	if compression != "" {
		b = append(append(b, compression...), 0, 0) // and an empty name
	}
	return part{id: "COMM", body: b}
}

// ssnd builds an SSND chunk whose samples begin skip bytes in.
func ssnd(skip uint32, samples []byte) part {
	b := be.AppendUint32(nil, skip)
	b = be.AppendUint32(b, 0)
	return part{id: "SSND", body: append(append(b, make([]byte, skip)...), samples...)}
}

func open(b []byte) (stream.Stream, error) {
	return Open(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))))
}

// readAll gives the samples interleaved.
func readAll(tb testing.TB, s stream.Stream) []float32 {
	tb.Helper()
	dst := make([][]float32, s.Info().Channels)
	for c := range dst {
		dst[c] = make([]float32, 7)
	}
	var out []float32
	for {
		n, err := s.Read(dst)
		for i := range n {
			for c := range dst {
				out = append(out, dst[c][i])
			}
		}
		if err == io.EOF {
			return out
		}
		if err != nil {
			tb.Fatal(err)
		}
	}
}

var (
	four = []byte{0, 0, 0x40, 0, 0x80, 0, 0x7f, 0xff}
	want = []float32{0, 0.5, -1, 32767.0 / 32768}
)

// TestForms reads forms of sample and of file. The expected numbers follow from the
// definition of each form.
func TestForms(t *testing.T) {
	plain := comm(1, 4, 16, rate44100, "")
	f32 := func(v float32) []byte { return be.AppendUint32(nil, math.Float32bits(v)) }
	f64 := func(v float64) []byte { return be.AppendUint64(nil, math.Float64bits(v)) }
	lie := func(p part, size uint32) part { p.lie, p.size = true, size; return p }
	tests := []struct {
		name  string
		file  []byte
		codec string
		want  []float32
		fault string // part of the only one, "" for none
	}{
		{"16 bits", form("AIFF", plain, ssnd(0, four)), "pcm_s16", want, ""},
		{"8 bits", form("AIFF", comm(1, 3, 8, rate44100, ""), ssnd(0, []byte{0, 0x40, 0x80})), "pcm_s8", []float32{0, 0.5, -1}, ""},
		{"12 in 16", form("AIFF", comm(1, 2, 12, rate44100, ""), ssnd(0, []byte{0x7f, 0xf0, 0x80, 0})), "pcm_s12", []float32{2047.0 / 2048, -1}, ""},
		{"24 bits", form("AIFF", comm(1, 2, 24, rate44100, ""), ssnd(0, []byte{0x40, 0, 0, 0x80, 0, 1})), "pcm_s24", []float32{0.5, -8388607.0 / 8388608}, ""},
		{"32 bits", form("AIFF", comm(1, 1, 32, rate44100, ""), ssnd(0, []byte{0xc0, 0, 0, 0})), "pcm_s32", []float32{-0.5}, ""},
		{"NONE", form("AIFC", comm(1, 4, 16, rate44100, "NONE"), ssnd(0, four)), "pcm_s16", want, ""},
		{"twos", form("AIFC", comm(1, 4, 16, rate44100, "twos"), ssnd(0, four)), "pcm_s16", want, ""},
		{"sowt", form("AIFC", comm(1, 2, 16, rate44100, "sowt"), ssnd(0, []byte{0, 0x40, 0, 0x80})), "pcm_s16", []float32{0.5, -1}, ""},
		{"raw", form("AIFC", comm(1, 2, 8, rate44100, "raw "), ssnd(0, []byte{192, 0})), "pcm_u8", []float32{0.5, -1}, ""},
		{"raw, 16 bits", form("AIFC", comm(1, 3, 16, rate44100, "raw "), ssnd(0, []byte{0x80, 0, 0, 0, 0xc0, 0})), "pcm_u16", []float32{0, -1, 0.5}, ""},
		{"in24", form("AIFC", comm(1, 1, 24, rate44100, "in24"), ssnd(0, []byte{0x40, 0, 0})), "pcm_s24", []float32{0.5}, ""},
		{"in32", form("AIFC", comm(1, 1, 32, rate44100, "in32"), ssnd(0, []byte{0x40, 0, 0, 0})), "pcm_s32", []float32{0.5}, ""},
		{"fl32", form("AIFC", comm(1, 2, 32, rate44100, "fl32"), ssnd(0, append(f32(1.5), f32(float32(math.Inf(1)))...))), "pcm_f32", []float32{1.5, 0}, "1 values that are not finite"},
		{"FL32", form("AIFC", comm(1, 1, 32, rate44100, "FL32"), ssnd(0, f32(-2))), "pcm_f32", []float32{-2}, ""},
		{"fl64", form("AIFC", comm(1, 1, 64, rate44100, "fl64"), ssnd(0, f64(0.25))), "pcm_f64", []float32{0.25}, ""},
		{"alaw", form("AIFC", comm(1, 2, 16, rate44100, "alaw"), ssnd(0, []byte{0xaa, 0x2a})), "alaw", []float32{32256.0 / 32768, -32256.0 / 32768}, ""},
		{"ulaw", form("AIFC", comm(1, 2, 16, rate44100, "ulaw"), ssnd(0, []byte{0x80, 0})), "ulaw", []float32{32124.0 / 32768, -32124.0 / 32768}, ""},
		{"offset", form("AIFF", plain, ssnd(6, four)), "pcm_s16", want, ""},
		{"sound before COMM", form("AIFF", ssnd(0, four), plain), "pcm_s16", want, ""},
		{"other chunks, odd", form("AIFF", part{id: "NAME", body: []byte("abc")}, plain, part{id: "AUTH", body: []byte("x"), bare: true}, ssnd(0, four)), "pcm_s16", want, ""},
		{"size never filled in", form("AIFF", comm(1, 0, 16, rate44100, ""), lie(ssnd(0, four), 0)), "pcm_s16", want, ""},
		{"cut off", form("AIFF", comm(1, 50, 16, rate44100, ""), lie(ssnd(0, four), 108)), "pcm_s16", want, "truncated: 100 bytes of samples are declared, 8 are there"},
		{"more frames declared", form("AIFF", comm(1, 50, 16, rate44100, ""), ssnd(0, four)), "pcm_s16", want, "truncated: 100 bytes of samples are declared, 8 are there"},
		{"fewer frames declared", form("AIFF", comm(1, 2, 16, rate44100, ""), ssnd(0, four)), "pcm_s16", want, "declares 2 frames, the SSND chunk holds 4"},
		{"sound declared too short", form("AIFF", plain, lie(ssnd(0, append(slices.Clone(four), bytes.Repeat([]byte{0xff, 3}, 20)...)), 16)), "pcm_s16", want, "40 bytes behind the SSND chunk are no chunk"},
		{"zeros behind", append(form("AIFF", plain, ssnd(0, four)), make([]byte, 64)...), "pcm_s16", want, ""},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, err := open(test.file)
			if err != nil {
				t.Fatal(err)
			}
			got, i := readAll(t, s), s.Info()
			if !slices.Equal(got, test.want) {
				t.Errorf("got %v, want %v", got, test.want)
			}
			if i.Codec != test.codec || i.Frames != int64(len(test.want)) || i.Format != "aiff" || i.SampleRate != 44100 {
				t.Errorf("%+v", i)
			}
			switch f := s.Faults(); {
			case test.fault == "" && len(f) > 0:
				t.Errorf("faults %v", f)
			case test.fault != "" && (len(f) != 1 || !strings.Contains(f[0].Error(), test.fault)):
				t.Errorf("faults %v, want %q", f, test.fault)
			}
		})
	}
}

// TestRates reads 80-bit floats: 44100 = 0xac44 and 48000 = 0xbb80 with exponent 15,
// 96000 with 16, 22254.5 = 0xaddd / 2 with 14.
func TestRates(t *testing.T) {
	tests := []struct {
		name string
		in   []byte
		want float64
	}{
		{"44100", rate44100, 44100},
		{"48000", []byte{0x40, 0x0e, 0xbb, 0x80, 0, 0, 0, 0, 0, 0}, 48000},
		{"96000", []byte{0x40, 0x0f, 0xbb, 0x80, 0, 0, 0, 0, 0, 0}, 96000},
		{"22254.5", []byte{0x40, 0x0d, 0xad, 0xdd, 0, 0, 0, 0, 0, 0}, 22254.5},
		{"1", []byte{0x3f, 0xff, 0x80, 0, 0, 0, 0, 0, 0, 0}, 1},
		{"0", make([]byte, 10), 0},
		{"-44100", []byte{0xc0, 0x0e, 0xac, 0x44, 0, 0, 0, 0, 0, 0}, -44100},
	}
	for _, test := range tests {
		if got, err := extended(test.in); err != nil || got != test.want {
			t.Errorf("%s: %v, %v", test.name, got, err)
		}
	}
	if _, err := extended([]byte{0x7f, 0xff, 0x80, 0, 0, 0, 0, 0, 0, 0}); err == nil {
		t.Error("infinity is taken for a rate")
	}
}

// TestRefusals holds the kind and the wording of errors.
func TestRefusals(t *testing.T) {
	plain := comm(1, 4, 16, rate44100, "")
	tests := []struct {
		name string
		file []byte
		kind stream.Kind
		part string
	}{
		{"rate infinite", form("AIFF", comm(1, 4, 16, []byte{0x7f, 0xff, 0x80, 0, 0, 0, 0, 0, 0, 0}, ""), ssnd(0, four)), stream.Damaged, "not a number"},
		{"rate 0", form("AIFF", comm(1, 4, 16, make([]byte, 10), ""), ssnd(0, four)), stream.Damaged, "sample rate of 0"},
		{"rate negative", form("AIFF", comm(1, 4, 16, []byte{0xc0, 0x0e, 0xac, 0x44, 0, 0, 0, 0, 0, 0}, ""), ssnd(0, four)), stream.Damaged, "sample rate of -44100"},
		{"rate huge", form("AIFF", comm(1, 4, 16, []byte{0x7f, 0xfe, 0xac, 0x44, 0, 0, 0, 0, 0, 0}, ""), ssnd(0, four)), stream.Unsupported, "sample rate"},
		{"no channels", form("AIFF", comm(0, 4, 16, rate44100, ""), ssnd(0, four)), stream.Damaged, "0 channels"},
		{"no bits", form("AIFF", comm(1, 4, 0, rate44100, ""), ssnd(0, four)), stream.Unsupported, "integers of 0 bits"},
		{"IMA ADPCM", form("AIFC", comm(1, 4, 16, rate44100, "ima4"), ssnd(0, four)), stream.Unsupported, "IMA ADPCM"},
		{"unknown", form("AIFC", comm(1, 4, 16, rate44100, "a\x1bbc"), ssnd(0, four)), stream.Unsupported, `"a\x1bbc"`},
		{"short COMM", form("AIFF", part{id: "COMM", body: []byte{0, 1}}, ssnd(0, four)), stream.Damaged, "COMM chunk of 2 bytes"},
		{"no COMM", form("AIFF", ssnd(0, four)), stream.Damaged, "no COMM"},
		{"no SSND", form("AIFF", plain), stream.Truncated, "no SSND"},
		{"offset behind the end", form("AIFF", plain, part{id: "SSND", body: append([]byte{0x7f, 0xff, 0xff, 0xff, 0, 0, 0, 0}, four...)}), stream.Damaged, "behind its end"},
		{"no samples", form("AIFF", plain, ssnd(0, nil)), stream.Truncated, "holds no audio"},
		{"head only", []byte("FORM\x00\x00\x00\x00AIFF"), stream.Truncated, "neither"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := open(test.file)
			var e *stream.Error
			if !errors.As(err, &e) || e.Kind != test.kind || !strings.Contains(err.Error(), test.part) {
				t.Errorf("got %v, want %v: %s", err, test.kind, test.part)
			}
		})
	}
}

var errMedium = errors.New("the medium failed")

// failing is a medium that can be read up to a byte.
type failing struct {
	b    []byte
	good int64
}

func (f failing) ReadAt(p []byte, off int64) (int, error) {
	if end := off + int64(len(p)); end > f.good {
		n := copy(p, f.b[min(off, f.good):f.good])
		return n, errMedium
	}
	return copy(p, f.b[off:]), nil
}

// TestMedium holds that what the medium says comes through from every place in the
// file, never as an error of the content.
func TestMedium(t *testing.T) {
	file := form("AIFF", part{id: "NAME", body: []byte("abc")}, comm(1, 100, 16, rate44100, ""), ssnd(0, make([]byte, 200)))
	for good := range int64(len(file)) {
		s, err := Open(io.NewSectionReader(failing{file, good}, 0, int64(len(file))))
		dst := [][]float32{make([]float32, 64)}
		for err == nil {
			_, err = s.Read(dst)
		}
		var e *stream.Error
		if !errors.Is(err, errMedium) || errors.As(err, &e) {
			t.Fatalf("with %d bytes readable: %v", good, err)
		}
	}
}

// FuzzOpen holds that whatever the bytes, a stream gives as many samples as it
// declares, all finite, or an error of the content.
func FuzzOpen(f *testing.F) {
	f.Add(form("AIFF", comm(1, 4, 16, rate44100, ""), ssnd(0, four)))
	f.Add(form("AIFC", comm(2, 1, 32, rate44100, "fl32"), ssnd(2, four)))
	f.Add(form("AIFC", ssnd(0, four), part{id: "NAME", body: []byte("a"), bare: true}, comm(1, 9, 8, rate44100, "ulaw")))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := open(b)
		if err != nil {
			var e *stream.Error
			if !errors.As(err, &e) {
				t.Fatalf("%v is no error of the content", err)
			}
			return
		}
		i := s.Info()
		if bad := stream.CheckShape(float64(i.SampleRate), i.Channels); bad != nil {
			t.Fatal(bad)
		}
		got := readAll(t, s)
		if int64(len(got)) != i.Frames*int64(i.Channels) || len(got) > len(b) {
			t.Fatalf("%d samples from %d bytes, %+v", len(got), len(b), i)
		}
		for _, v := range got {
			if v-v != 0 {
				t.Fatal("a sample that is not finite")
			}
		}
	})
}
