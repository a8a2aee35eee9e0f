package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// part is one chunk as a test writes it. With lie, size stands in its header
// whatever the body; bare leaves out the pad byte of an odd body.
type part struct {
	id   string
	body []byte
	lie  bool
	size uint32
	bare bool
}

// riff builds a file of parts behind its 12 bytes of head.
func riff(magic string, order binary.AppendByteOrder, parts ...part) []byte {
	var b []byte
	for _, p := range parts {
		size := uint32(len(p.body))
		if p.lie {
			size = p.size
		}
		b = order.AppendUint32(append(b, p.id...), size)
		b = append(b, p.body...)
		if len(p.body)%2 == 1 && !p.bare {
			b = append(b, 0)
		}
	}
	head := order.AppendUint32([]byte(magic), uint32(4+len(b)))
	return append(append(head, "WAVE"...), b...)
}

// format builds the body of a fmt chunk.
func format(order binary.AppendByteOrder, tag, channels uint16, rate uint32, size, bits uint16) []byte {
	b := order.AppendUint16(nil, tag)
	b = order.AppendUint16(b, channels)
	b = order.AppendUint32(b, rate)
	b = order.AppendUint32(b, rate*uint32(channels*size))
	b = order.AppendUint16(b, channels*size)
	return order.AppendUint16(b, bits)
}

// extensible builds the body of a WAVEFORMATEXTENSIBLE.
func extensible(channels uint16, size, bits, valid uint16, mask uint32, tag uint16) []byte {
	b := format(binary.LittleEndian, tagExtensible, channels, 48000, size, bits)
	b = binary.LittleEndian.AppendUint16(b, 22)
	b = binary.LittleEndian.AppendUint16(b, valid)
	b = binary.LittleEndian.AppendUint32(b, mask)
	b = binary.LittleEndian.AppendUint16(b, tag)
	return append(b, mediaSubtype...)
}

func open(b []byte) (stream.Stream, error) {
	return Open(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))))
}

// readAll gives the samples interleaved.
func readAll(tb testing.TB, s stream.Stream) []float32 {
	tb.Helper()
	channels := s.Info().Channels
	dst := make([][]float32, channels)
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

// le16 writes 16-bit samples.
func le16(samples ...int16) []byte {
	b, _ := binary.Append(nil, binary.LittleEndian, samples)
	return b
}

var (
	le   = binary.LittleEndian
	be   = binary.BigEndian
	fmt1 = part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 2, 16)} // mono, 16 bits
	four = le16(0, 16384, -32768, 32767)
	want = []float32{0, 0.5, -1, 32767.0 / 32768}
)

// TestForms reads forms of sample and of file. The expected numbers follow from the
// definition of each form.
func TestForms(t *testing.T) {
	data := part{id: "data", body: four}
	tests := []struct {
		name  string
		file  []byte
		codec string
		depth int
		want  []float32
		fault string // part of the only one, "" for none
	}{
		{"16 bits", riff("RIFF", le, fmt1, data), "pcm_s16", 16, want, ""},
		{"8 bits", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 1, 8)}, part{id: "data", body: []byte{128, 192, 0, 255}}),
			"pcm_u8", 8, []float32{0, 0.5, -1, 127.0 / 128}, ""},
		{"12 in 16", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 2, 12)}, part{id: "data", body: le16(0x7ff0, -0x8000, 0x10)}),
			"pcm_s12", 12, []float32{2047.0 / 2048, -1, 1.0 / 2048}, ""},
		{"20 in 24", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 3, 20)}, part{id: "data", body: []byte{0x10, 0, 0, 0, 0, 0x80, 0xf0, 0xff, 0x7f}}),
			"pcm_s20", 20, []float32{1.0 / 524288, -1, 524287.0 / 524288}, ""},
		{"24 in 32", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 4, 24)}, part{id: "data", body: []byte{0, 1, 0, 0, 0, 0, 0, 0x80}}),
			"pcm_s24", 24, []float32{1.0 / 8388608, -1}, ""},
		{"24 in 32, extensible", riff("RIFF", le, part{id: "fmt ", body: extensible(1, 4, 32, 24, 4, tagPCM)}, part{id: "data", body: []byte{0, 1, 0, 0, 0, 0, 0, 0x80}}),
			"pcm_s24", 24, []float32{1.0 / 8388608, -1}, ""},
		{"32 bits", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 4, 32)}, part{id: "data", body: []byte{0, 0, 0, 0x40, 0, 0, 0, 0x80}}),
			"pcm_s32", 32, []float32{0.5, -1}, ""},
		{"float above full scale", riff("RIFF", le, part{id: "fmt ", body: format(le, tagFloat, 1, 44100, 4, 32)}, part{id: "data", body: floats32(le, 1.5, -3, 0.1)}),
			"pcm_f32", 32, []float32{1.5, -3, 0.1}, ""},
		{"float, not finite", riff("RIFF", le, part{id: "fmt ", body: format(le, tagFloat, 1, 44100, 4, 32)},
			part{id: "data", body: floats32(le, 1, float32(math.NaN()), float32(math.Inf(-1)))}), "pcm_f32", 32, []float32{1, 0, 0}, "2 values that are not finite"},
		{"double", riff("RIFF", le, part{id: "fmt ", body: format(le, tagFloat, 1, 44100, 8, 64)}, part{id: "data", body: floats64(0.25, 1e300, math.Inf(1))}),
			"pcm_f64", 64, []float32{0.25, 0, 0}, "2 values that are not finite"},
		{"A-law", riff("RIFF", le, part{id: "fmt ", body: format(le, tagALaw, 1, 8000, 1, 8)}, part{id: "data", body: []byte{0xd5, 0x55, 0xaa, 0x2a}}),
			"alaw", 8, []float32{8.0 / 32768, -8.0 / 32768, 32256.0 / 32768, -32256.0 / 32768}, ""},
		{"mu-law", riff("RIFF", le, part{id: "fmt ", body: format(le, tagMuLaw, 1, 8000, 1, 8)}, part{id: "data", body: []byte{0xff, 0x7f, 0x80, 0x00}}),
			"ulaw", 8, []float32{0, 0, 32124.0 / 32768, -32124.0 / 32768}, ""},
		{"A-law without a bit depth", riff("RIFF", le, part{id: "fmt ", body: format(le, tagALaw, 1, 8000, 1, 0)[:14]}, part{id: "data", body: []byte{0xd5, 0x55}}),
			"alaw", 8, []float32{8.0 / 32768, -8.0 / 32768}, ""},
		{"RIFX", riff("RIFX", be, part{id: "fmt ", body: format(be, tagPCM, 1, 44100, 2, 16)}, part{id: "data", body: []byte{0x40, 0, 0x80, 0}}),
			"pcm_s16", 16, []float32{0.5, -1}, ""},
		{"RIFX float", riff("RIFX", be, part{id: "fmt ", body: format(be, tagFloat, 1, 44100, 4, 32)}, part{id: "data", body: floats32(be, 1.5, -3)}),
			"pcm_f32", 32, []float32{1.5, -3}, ""},
		{"RF64", riff("RF64", le, ds64Part(8, 0), fmt1, part{id: "data", body: four, lie: true, size: unknownSize}, part{id: "LIST", body: []byte("INFOabcd")}),
			"pcm_s16", 16, want, ""},
		{"BW64 with a long chunk in its table", riff("BW64", le, ds64Part(8, 6), fmt1, part{id: "axml", body: []byte("123456"), lie: true, size: unknownSize},
			part{id: "data", body: four, lie: true, size: unknownSize}), "pcm_s16", 16, want, ""},
		{"RF64 without its sizes", riff("RF64", le, ds64Part(0, 0), fmt1, part{id: "data", body: four, lie: true, size: unknownSize}), "pcm_s16", 16, want, ""},
		{"RF64 cut off", riff("RF64", le, ds64Part(80, 0), fmt1, part{id: "data", body: four, lie: true, size: unknownSize}), "pcm_s16", 16, want, "truncated: the data chunk declares 80 bytes, 8 are there"},
		{"data before the format", riff("RIFF", le, data, fmt1), "pcm_s16", 16, want, ""},
		{"other chunks in between", riff("RIFF", le, part{id: "JUNK", body: make([]byte, 28)}, fmt1, part{id: "LIST", body: []byte("INFOxy")}, data), "pcm_s16", 16, want, ""},
		{"odd chunk with its pad byte", riff("RIFF", le, fmt1, part{id: "bext", body: []byte("abc")}, data), "pcm_s16", 16, want, ""},
		{"odd chunk without", riff("RIFF", le, fmt1, part{id: "bext", body: []byte("abc"), bare: true}, data), "pcm_s16", 16, want, ""},
		{"size never filled in, 0", riff("RIFF", le, fmt1, part{id: "data", body: four, lie: true}), "pcm_s16", 16, want, ""},
		{"size never filled in, highest", riff("RIFF", le, fmt1, part{id: "data", body: four, lie: true, size: unknownSize}), "pcm_s16", 16, want, ""},
		{"size never filled in, highest signed", riff("RIFF", le, fmt1, part{id: "data", body: four, lie: true, size: math.MaxInt32 - 36}), "pcm_s16", 16, want, ""},
		{"cut off", riff("RIFF", le, fmt1, part{id: "data", body: four, lie: true, size: 100}), "pcm_s16", 16, want, "truncated: the data chunk declares 100 bytes, 8 are there"},
		{"cut off inside a sample", riff("RIFF", le, fmt1, part{id: "data", body: append(four, 1), lie: true, size: 100, bare: true}), "pcm_s16", 16, want, "declares 100 bytes, 9 are there"},
		{"declared one byte too long", riff("RIFF", le, fmt1, part{id: "data", body: four, lie: true, size: 9}), "pcm_s16", 16, want, ""},
		{"streamed, tags appended", riff("RIFF", le, fmt1, part{id: "data", body: four, lie: true, size: unknownSize}, part{id: "id3 ", body: []byte("abc")}, part{id: "LIST", body: []byte("INFO")}), "pcm_s16", 16, want, ""},
		{"declared too short", riff("RIFF", le, fmt1, part{id: "data", body: append(slices.Clone(four), bytes.Repeat([]byte{0xff, 3}, 20)...), lie: true, size: 8}), "pcm_s16", 16, want, "40 bytes behind the data chunk are no chunk"},
		{"ID3v1 behind", append(riff("RIFF", le, fmt1, data), append([]byte("TAG"), bytes.Repeat([]byte{0xfe}, 125)...)...), "pcm_s16", 16, want, ""},
		{"zeros behind", append(riff("RIFF", le, fmt1, data), make([]byte, 512)...), "pcm_s16", 16, want, ""},
		{"second data chunk", riff("RIFF", le, fmt1, data, part{id: "data", body: le16(1)}), "pcm_s16", 16, want, ""},
		{"wrong byte rate", riff("RIFF", le, part{id: "fmt ", body: append(format(le, tagPCM, 1, 44100, 2, 16)[:8], 1, 2, 3, 4, 2, 0, 16, 0)}, data), "pcm_s16", 16, want, "contradicts itself: 44100 Hz"},
		{"wrong frame size", riff("RIFF", le, part{id: "fmt ", body: append(format(le, tagPCM, 1, 44100, 2, 16)[:8], 0, 0, 0, 0, 1, 0, 16, 0)}, data), "pcm_s16", 16, want, "contradicts itself: 1 channels of 16 bits"},
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
			if i.Codec != test.codec || i.BitDepth != test.depth || i.Frames != int64(len(test.want)) || i.Format != "wav" {
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

func floats32(order binary.ByteOrder, v ...float32) []byte {
	var b bytes.Buffer
	binary.Write(&b, order, v)
	return b.Bytes()
}

func floats64(v ...float64) []byte {
	var b bytes.Buffer
	binary.Write(&b, le, v)
	return b.Bytes()
}

// ds64Part gives 64-bit sizes for data and, if not 0, for a chunk axml.
func ds64Part(data, axml uint64) part {
	b := le.AppendUint64(nil, 0)
	b = le.AppendUint64(b, data)
	b = le.AppendUint64(b, 0)
	if axml == 0 {
		return part{id: "ds64", body: le.AppendUint32(b, 0)}
	}
	b = append(le.AppendUint32(b, 1), "axml"...)
	return part{id: "ds64", body: le.AppendUint64(b, axml)}
}

// TestExtensible reads the places of six loudspeakers.
func TestExtensible(t *testing.T) {
	s, err := open(riff("RIFF", le, part{id: "fmt ", body: extensible(6, 2, 16, 16, 0x3f, tagPCM)}, part{id: "data", body: make([]byte, 24)}))
	if err != nil {
		t.Fatal(err)
	}
	if i := s.Info(); i.ChannelMask != 0x3f || i.Channels != 6 || i.SampleRate != 48000 || i.Frames != 2 {
		t.Errorf("%+v", i)
	}
}

// TestRefusals holds the kind and the wording of errors.
func TestRefusals(t *testing.T) {
	data := part{id: "data", body: four}
	tests := []struct {
		name string
		file []byte
		kind stream.Kind
		part string
	}{
		{"MP3 inside", riff("RIFF", le, part{id: "fmt ", body: format(le, TagMP3, 2, 44100, 1, 0)}, data), stream.Unsupported, "MP3 in a WAV file"},
		{"ADPCM", riff("RIFF", le, part{id: "fmt ", body: format(le, 2, 2, 44100, 1, 4)}, data), stream.Unsupported, "Microsoft ADPCM"},
		{"unknown coding", riff("RIFF", le, part{id: "fmt ", body: format(le, 0x1234, 2, 44100, 1, 4)}, data), stream.Unsupported, "0x1234"},
		{"no channels", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 0, 44100, 2, 16)}, data), stream.Damaged, "0 channels"},
		{"9 channels", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 9, 44100, 2, 16)}, part{id: "data", body: make([]byte, 100)}), stream.Unsupported, "9 channels"},
		{"no rate", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 0, 2, 16)}, data), stream.Damaged, "sample rate of 0"},
		{"absurd rate", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 1<<31, 2, 16)}, data), stream.Unsupported, "sample rate"},
		{"48-bit integers", riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 1, 44100, 6, 48)}, data), stream.Unsupported, "integers of 48 bits"},
		{"16-bit floats", riff("RIFF", le, part{id: "fmt ", body: format(le, tagFloat, 1, 44100, 2, 16)}, data), stream.Unsupported, "floats of 16 bits"},
		{"short format", riff("RIFF", le, part{id: "fmt ", body: []byte{1, 0, 1, 0}}, data), stream.Damaged, "fmt chunk of 4 bytes"},
		{"no format", riff("RIFF", le, data), stream.Damaged, "no fmt chunk"},
		{"no data", riff("RIFF", le, fmt1), stream.Truncated, "no data chunk"},
		{"empty data", riff("RIFF", le, fmt1, part{id: "data"}, part{id: "LIST", body: []byte("INFO")}), stream.Truncated, "no data chunk"},
		{"nothing behind the data header", riff("RIFF", le, fmt1, part{id: "data", lie: true, size: 100}), stream.Truncated, "holds no audio"},
		{"head only", []byte("RIFF\x00\x00\x00\x00WAVE"), stream.Truncated, "neither"},
		{"half a head", []byte("RIFF\x00\x00"), stream.Truncated, "inside its header"},
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

// zeros is a medium of any size that holds a head and zeros behind it.
type zeros struct{ head []byte }

func (z zeros) ReadAt(p []byte, off int64) (int, error) {
	clear(p)
	if off < int64(len(z.head)) {
		copy(p, z.head[off:])
	}
	return len(p), nil
}

// TestLarge opens files of sizes that no test writes: more than 4 GB behind a size
// field of 32 bits, and gigabytes without any chunk.
func TestLarge(t *testing.T) {
	const samples = 6 << 30
	head := riff("RIFF", le, fmt1, part{id: "data", lie: true, size: samples & math.MaxUint32})
	s, err := Open(io.NewSectionReader(zeros{head}, 0, int64(len(head))+samples))
	if err != nil {
		t.Fatal(err)
	}
	if f := s.Faults(); s.Info().Frames != samples/2 || len(f) != 1 || !strings.Contains(f[0].Detail, "4 GB") {
		t.Errorf("%+v, %v", s.Info(), f)
	}
	if _, err := Open(io.NewSectionReader(zeros{riff("RIFF", le, fmt1)}, 0, samples)); err == nil {
		t.Error("found audio in zeros")
	}
}

// TestCoded holds that the data of a foreign coding are pointed at.
func TestCoded(t *testing.T) {
	_, err := open(riff("RIFF", le, part{id: "fmt ", body: format(le, TagMP3, 2, 44100, 1, 0)}, part{id: "data", body: four}))
	var c *Coded
	if !errors.As(err, &c) || c.Tag != TagMP3 || c.Offset != 12+8+16+8 || c.Length != 8 {
		t.Errorf("%v, %+v", err, c)
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
	file := riff("RIFF", le, fmt1, part{id: "LIST", body: []byte("INFO")}, part{id: "data", body: make([]byte, 200)})
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

func BenchmarkRead(b *testing.B) {
	const frames = 44100 * 10
	for _, bits := range []uint16{16, 24, 32} {
		b.Run(fmt.Sprint(bits), func(b *testing.B) {
			size := bits / 8
			file := riff("RIFF", le, part{id: "fmt ", body: format(le, tagPCM, 2, 44100, size, bits)}, part{id: "data", body: make([]byte, frames*2*int(size))})
			dst := [][]float32{make([]float32, 4096), make([]float32, 4096)}
			b.ReportAllocs()
			for b.Loop() {
				s, err := open(file)
				for err == nil {
					_, err = s.Read(dst)
				}
				if err != io.EOF {
					b.Fatal(err)
				}
			}
			b.ReportMetric(10*float64(b.N)/b.Elapsed().Seconds(), "x_realtime")
		})
	}
}

// FuzzOpen holds that whatever the bytes, a stream gives as many samples as it
// declares, all finite, or an error of the content.
func FuzzOpen(f *testing.F) {
	data := part{id: "data", body: four}
	f.Add(riff("RIFF", le, fmt1, data))
	f.Add(riff("RIFX", be, part{id: "fmt ", body: format(be, tagFloat, 1, 44100, 4, 32)}, part{id: "data", body: floats32(be, 1.5, -3)}))
	f.Add(riff("RF64", le, ds64Part(8, 6), fmt1, part{id: "data", body: four, lie: true, size: unknownSize}))
	f.Add(riff("RIFF", le, part{id: "fmt ", body: extensible(6, 4, 32, 24, 0x3f, tagPCM)}, part{id: "data", body: make([]byte, 48)}))
	f.Add(riff("RIFF", le, data, part{id: "bext", body: []byte("abc"), bare: true}, fmt1))
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
