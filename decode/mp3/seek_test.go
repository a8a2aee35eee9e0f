package mp3

import (
	"bytes"
	"errors"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// sought opens data, goes to a sample and reads up to n from there.
func sought(t testing.TB, data []byte, sample int64, n int) ([][]float32, *track) {
	t.Helper()
	return soughtIn(t, bytes.NewReader(data), int64(len(data)), sample, n)
}

func soughtIn(t testing.TB, src io.ReaderAt, size, sample int64, n int) ([][]float32, *track) {
	t.Helper()
	s, err := Open(io.NewSectionReader(src, 0, size))
	if err != nil {
		t.Fatal(err)
	}
	k := s.(*track)
	return goTo(t, k, sample, n), k
}

func goTo(t testing.TB, k *track, sample int64, n int) [][]float32 {
	t.Helper()
	if err := k.SeekTo(sample); err != nil {
		t.Fatal(err)
	}
	x := make([][]float32, k.info.Channels)
	dst := make([][]float32, len(x))
	for c := range dst {
		dst[c] = make([]float32, 700) // no multiple of a granule
	}
	for len(x[0]) < n {
		m, err := k.Read(dst)
		for c := range x {
			x[c] = append(x[c], dst[c][:m]...)
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for c := range x {
		x[c] = x[c][:min(n, len(x[c]))]
	}
	return x
}

// countReader counts what is read of a file.
type countReader struct {
	src  io.ReaderAt
	read int64
}

func (c *countReader) ReadAt(b []byte, at int64) (int, error) {
	n, err := c.src.ReadAt(b, at)
	c.read += int64(n)
	return n, err
}

const seekSeconds = 45 // more than leapLeast frames, with room behind them

// seekFile is a master of seekSeconds as lame makes it, whose quickest search for noise
// shaping leaves the frames what they are.
func seekFile(t testing.TB, rate, channels int, args string) []byte {
	return readFile(t, encode(t, wavFile(t, "master", seekSeconds*rate, rate, channels), append(strings.Fields(args), "-q", "9")...))
}

// What is read from any place is what decoding from the start gives there, to the bit: at
// both ends, at the edges of frames, and anywhere. Whether a file may be leapt in, so that less
// than a third of what lies before the place is read, follows from how it is made.
func TestSeekIsExact(t *testing.T) {
	tests := []struct {
		name string
		data func() []byte
		leap bool
	}{
		{"320", func() []byte { return seekFile(t, 44100, 2, "-b 320") }, true},
		{"128 without a tag", func() []byte { return seekFile(t, 44100, 2, "-b 128 -t") }, true},
		{"VBR", func() []byte { return seekFile(t, 44100, 2, "-V 2") }, false},
		{"VBR without a tag", func() []byte { return seekFile(t, 44100, 2, "-V 4 -t") }, false},
		{"mean bit rate", func() []byte { return seekFile(t, 48000, 2, "--abr 150") }, false},
		{"free format", func() []byte { return seekFile(t, 44100, 2, "-b 250 --freeformat") }, false},
		{"mono at 22.05 kHz", func() []byte { return seekFile(t, 22050, 1, "-b 32") }, false},
		{"8 kbit/s, its main data far back", func() []byte { return seekFile(t, 24000, 1, "-b 8") }, false},
		{"48 kHz with CRCs", func() []byte { return seekFile(t, 48000, 2, "-b 192 -p") }, true},
		{"a tag in the middle", func() []byte {
			b := seekFile(t, 44100, 2, "-b 128 -t")
			at := frameAt(t, b, 300)
			return join(b[:at], id3(rand.New(rand.NewPCG(1, 1)), 3000, 3000), b[at:])
		}, false},
		{"bytes missing in the middle", func() []byte {
			b := seekFile(t, 44100, 2, "-b 128")
			return join(b[:200001], b[203000:])
		}, false},
		{"another bit rate in the middle", func() []byte {
			b, c := seekFile(t, 44100, 2, "-b 128 -t"), seekFile(t, 44100, 2, "-b 160 -t")
			at, to := frameAt(t, b, 700), frameAt(t, c, 700)
			end := frameAt(t, c, 800)
			return join(b[:at], c[to:end], b[frameAt(t, b, 800):])
		}, false},
		{"joined of two", func() []byte {
			b := seekFile(t, 44100, 2, "-b 128")
			return join(b, b)
		}, false},
		{"joined of two rates", func() []byte {
			return join(seekFile(t, 44100, 2, "-b 128")[:200000], seekFile(t, 48000, 2, "-V 2")[:200000])
		}, false},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			data := test.data()
			whole, _ := ours(t, data)
			n := int64(len(whole[0]))
			r := rand.New(rand.NewPCG(5, 5))
			places := []int64{0, 1, 575, 576, 2880, n / 2, n - 576*3, n - 1, n, n + 5000}
			for range 12 {
				places = append(places, r.Int64N(n))
			}
			leapt := false
			for _, p := range places {
				src := &countReader{src: bytes.NewReader(data)}
				got, k := soughtIn(t, src, int64(len(data)), p, 3000)
				sameFrom(t, got, whole, p)
				before := float64(len(data)) * float64(p) / float64(seekSeconds*k.info.SampleRate)
				leapt = leapt || k.done > 0 && k.extent.pos > leapLeast*1152 && float64(src.read) < before/3
			}
			if leapt != test.leap {
				t.Errorf("leapt: %v, want %v", leapt, test.leap)
			}
		})
	}
}

func sameFrom(t testing.TB, got, whole [][]float32, p int64) {
	t.Helper()
	n := int64(len(whole[0]))
	want := int(min(3000, max(0, n-p)))
	for c := range whole {
		if len(got[c]) != want {
			t.Fatalf("from %d of %d: %d samples, want %d", p, n, len(got[c]), want)
		}
		for i, v := range got[c] {
			if w := whole[c][p+int64(i)]; v != w {
				t.Fatalf("from %d, channel %d: sample %d is %v, want %v", p, c, i, v, w)
			}
		}
	}
}

// frameAt is the offset of frame number k.
func frameAt(t testing.TB, data []byte, k int) int64 {
	t.Helper()
	f := framer{in: newInput(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))}
	for {
		fr, ok := f.next(maxJunk)
		if !ok {
			t.Fatalf("no frame number %d", k)
		}
		if k--; k < 0 {
			return fr.offset
		}
	}
}

// One stream goes to and fro, also after its end and after the damage of its beginning.
func TestSeekToAndFro(t *testing.T) {
	data := seekFile(t, 44100, 2, "-b 128")
	whole, _ := ours(t, data)
	_, k := sought(t, data, 0, 1)
	for _, p := range []int64{5000, 1500000, 40000, 41000, int64(len(whole[0])) + 1, 7, 1800000, 1800001} {
		sameFrom(t, goTo(t, k, p, 3000), whole, p)
	}
	if f := k.Faults(); len(f) > 0 {
		t.Errorf("faults of a whole file: %v", f)
	}
}

// Damage behind the place is named as ever, and at its time.
func TestSeekKeepsFaultsAndTimes(t *testing.T) {
	b := seekFile(t, 44100, 2, "-b 128")
	at := frameAt(t, b, 1500)
	data := join(b[:at+10], b[frameAt(t, b, 1520)+100:])
	_, s := ours(t, data)
	want := s.Faults()
	_, k := sought(t, data, 1400*1152, 300000)
	got := k.Faults()
	if len(want) == 0 || len(got) != len(want) {
		t.Fatalf("faults %v, want %v", got, want)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("fault %v, want %v", got[i], want[i])
		}
	}
}

// BenchmarkSeekToEnd goes to the last ten seconds of an hour and decodes the first tenth of
// a second there, beside the same at the beginning. At 48 kHz all frames of one bit rate have
// one length, so that pieces can be put together to the hour.
func BenchmarkSeekToEnd(b *testing.B) {
	const hour, minute = 3600, 60
	for _, c := range []struct{ name, args string }{{"CBR", "-b 320"}, {"VBR", "-V 0"}} {
		piece := readFile(b, encode(b, wavFile(b, "master", minute*48000, 48000, 2), append(strings.Fields(c.args), "-t", "--nores")...))
		data := bytes.Repeat(piece, hour/minute)
		for _, from := range []int64{0, hour - 10} {
			name := c.name + "/beginning"
			if from > 0 {
				name = c.name + "/end"
			}
			b.Run(name, func(b *testing.B) {
				for b.Loop() {
					x, _ := sought(b, data, from*48000, 4800)
					if len(x[0]) != 4800 {
						b.Fatal("too little")
					}
				}
			})
		}
	}
}

var _ stream.Seeker = (*track)(nil)

// In any bytes, from any place on there are as many samples as reading all gives behind it.
func FuzzSeek(f *testing.F) {
	for i, s := range fuzzSeeds() {
		f.Add(s, uint32(i*1000))
	}
	f.Fuzz(func(t *testing.T, data []byte, sample uint32) {
		whole, _, err := tryDecode(data)
		if err != nil {
			return
		}
		from := int64(sample) % int64(len(whole[0])+2000)
		got, _ := sought(t, data, from, len(whole[0])+1)
		if want := max(0, int64(len(whole[0]))-from); int64(len(got[0])) != want {
			t.Fatalf("%d samples from %d of %d, want %d", len(got[0]), from, len(whole[0]), want)
		}
	})
}
