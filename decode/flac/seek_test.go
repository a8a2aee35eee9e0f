package flac

import (
	"errors"
	"io"
	"math/rand/v2"
	"testing"

	"dubgauge/decode/stream"
)

var _ stream.Seeker = (*reader)(nil)

// seekFrames are 45 s: some 4 MB, so that halving has something to halve, and the sample
// numbers of the last frames still fit into 21 bits.
const seekFrames = 2_000_000

// from goes to a sample and gives up to n from there.
func from(tb testing.TB, s stream.Stream, sample int64, n int) [][]float32 {
	tb.Helper()
	if err := s.(stream.Seeker).SeekTo(sample); err != nil {
		tb.Fatal(err)
	}
	got := make([][]float32, s.Info().Channels)
	dst := make([][]float32, len(got))
	for c := range dst {
		dst[c] = make([]float32, 999)
	}
	for len(got[0]) < n {
		k, err := s.Read(dst)
		for c := range got {
			got[c] = append(got[c], dst[c][:k]...)
		}
		if err == io.EOF {
			break
		}
		if err != nil {
			tb.Fatal(err)
		}
	}
	return got
}

// What is read from any place is what reading from the start gives there, in files with and
// without a seek table, with frames that count samples, and with damage; in one stream to and
// fro. In whole files little of what lies before is read.
func TestSeekIsExact(t *testing.T) {
	raw := pack(music(9, seekFrames, 2, 20000), 2)
	plain := encode(t, raw, 16, 2, "-5", "-b", "4096", "--no-seektable")
	offsets := frameOffsets(t, plain)
	middle := offsets[len(offsets)/2]
	tests := []struct {
		name  string
		file  []byte
		quick bool
	}{
		{"no seek table", plain, true},
		{"seek table", encode(t, raw, 16, 2, "-8", "--seekpoint=5s"), true},
		{"small frames", encode(t, raw, 16, 2, "-2", "-b", "192", "--no-seektable"), true},
		{"sample numbers", renumber(t, plain), false},
		{"bytes missing in the middle", append(append([]byte{}, plain[:middle]...), plain[middle+30000:]...), true},
		{"the beginning is missing", append(append([]byte{}, plain[:offsets[0]]...), plain[offsets[50]:]...), false},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s, err := Open(section(test.file), Options{})
			if err != nil {
				t.Fatal(err)
			}
			whole, err := readAll(t, s)
			if err != nil {
				t.Fatal(err)
			}
			n := int64(len(whole[0]))
			r := rand.New(rand.NewPCG(1, 1))
			places := []int64{0, 1, 4095, 4096, 4097, n / 2, n/2 - 3, n - 1, n, n + 9, n - 30_000}
			for range 8 {
				places = append(places, r.Int64N(n))
			}
			counted := &counting{src: section(test.file)}
			if s, err = Open(io.NewSectionReader(counted, 0, int64(len(test.file))), Options{Verify: true}); err != nil {
				t.Fatal(err)
			}
			for _, p := range places {
				counted.read = 0
				got := from(t, s, p, 3000)
				for c := range whole {
					if want := min(3000, max(0, n-p)); int64(len(got[c])) < want {
						t.Fatalf("from %d: %d samples, want %d", p, len(got[c]), want)
					}
					for i, v := range got[c] {
						if w := whole[c][p+int64(i)]; v != w {
							t.Fatalf("from %d: sample %d is %v, want %v", p, i, v, w)
						}
					}
				}
				// Halving 4 MB to a quarter of one takes four looks, reading one of them back to
				// where the frame begins, and reading on two.
				if most := int64(9 * sourceBytes); test.quick && counted.read > most {
					t.Errorf("from %d: %d bytes were read of %d", p, counted.read, len(test.file))
				}
			}
		})
	}
}

// counting counts what is read.
type counting struct {
	src  io.ReaderAt
	read int64
}

func (c *counting) ReadAt(b []byte, at int64) (int, error) {
	n, err := c.src.ReadAt(b, at)
	c.read += int64(n)
	return n, err
}

// In any bytes a place is found, or an error of the content, and reading goes on from there to
// an end.
func FuzzSeek(f *testing.F) {
	file := encode(f, pack(music(9, 100_000, 2, 30000), 2), 16, 2, "-0", "-b", "1024")
	f.Add(file, uint32(50_000))
	f.Add(append(append([]byte{}, file[:len(file)/2]...), file[len(file)/2+999:]...), uint32(90_000))
	f.Fuzz(func(t *testing.T, b []byte, sample uint32) {
		s, err := Open(section(b), Options{})
		if err != nil {
			return
		}
		var e *stream.Error
		for _, p := range []int64{int64(sample), int64(sample) / 2} {
			if err := s.(stream.Seeker).SeekTo(p); err != nil {
				if !errors.As(err, &e) {
					t.Fatalf("%v is no error of the content", err)
				}
				return
			}
			dst := make([][]float32, s.Info().Channels)
			for c := range dst {
				dst[c] = make([]float32, 500)
			}
			if _, err := s.Read(dst); err != nil && err != io.EOF && !errors.As(err, &e) {
				t.Fatalf("%v is no error of the content", err)
			}
		}
	})
}
