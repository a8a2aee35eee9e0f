package decode

import (
	"bytes"
	"context"
	"errors"
	"io"
	"testing"
)

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

// TestMedium holds for each format, with and without a tag in front, that what the
// medium says comes through from any place, never as an error of the content.
func TestMedium(t *testing.T) {
	wav, _ := builtWAV()
	aiff, _ := builtAIFF()
	flac, _ := builtFLAC(t)
	mp3 := lame(t, "-b", "128")
	for name, file := range map[string][]byte{"wav": wav, "aiff": aiff, "flac": flac, "mp3": mp3, "mp3 in wav": mp3WAV(mp3)} {
		tagged, _ := behindID3(file, nil)
		for _, b := range [][]byte{file, tagged} {
			for good := 0; good < len(b); good += 1 + good/20 {
				s, err := New(context.Background(), "t", io.NewSectionReader(failing{b, int64(good)}, 0, int64(len(b))))
				if err == nil {
					_, err = drain(s)
				}
				var e *Error
				if !errors.Is(err, errMedium) || errors.As(err, &e) {
					t.Fatalf("%s with %d of %d bytes readable: %v", name, good, len(b), err)
				}
			}
		}
	}
}

// TestShrinking holds that a file that becomes shorter while it is read ends as cut
// off content.
func TestShrinking(t *testing.T) {
	wav, _ := builtWAV()
	aiff, _ := builtAIFF()
	for name, b := range map[string][]byte{"wav": wav, "aiff": aiff} {
		src := &shrinking{b}
		s, err := New(context.Background(), "t", io.NewSectionReader(src, 0, int64(len(b))))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		src.b = b[:len(b)-8000]
		got, err := drain(s)
		faults := s.Faults()
		if err != io.EOF || len(got[0]) == 0 || len(faults) == 0 || faults[len(faults)-1].Kind != Truncated {
			t.Errorf("%s: %d frames, %v, faults %v", name, len(got[0]), err, faults)
		}
	}
}

// shrinking is a file of which less is left than when it was opened.
type shrinking struct{ b []byte }

func (s *shrinking) ReadAt(p []byte, off int64) (int, error) {
	return bytes.NewReader(s.b).ReadAt(p, off)
}

// FuzzNew holds that whatever the bytes, sound is finite and bounded, and an error
// is one of the content.
func FuzzNew(f *testing.F) {
	f.Setenv("PATH", f.TempDir()) // no ffmpeg
	wav, fields := builtWAV()
	tagged, _ := behindID3(wav[:3000], fields)
	aiff, _ := builtAIFF()
	f.Add(wav[:2000])
	f.Add(tagged)
	f.Add(aiff[:2000])
	f.Add([]byte("ID3\x04\x00\x00\x00\x00\x7f\x04fLaC\x00\x00\x00\x22"))
	f.Add([]byte("OggS\x00\x02"))
	f.Add(mp3WAV([]byte("\xff\xfb\x90\x64")))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := NewWith(t.Context(), "t", io.NewSectionReader(failing{b, int64(len(b))}, 0, int64(len(b))), Options{Verify: true})
		if err == nil {
			err = finite(t, s, int64(len(b)))
		}
		var e *Error
		if err != io.EOF && !errors.As(err, &e) {
			t.Fatalf("%v is no error of the content", err)
		}
	})
}

// finite reads s to its end.
func finite(t *testing.T, s Stream, size int64) error {
	const mostPerByte = 1 << 13 // samples: a FLAC frame of 65536 takes 10 bytes
	const mostSilence = 700 << 20
	dst := make([][]float32, s.Info().Channels)
	for c := range dst {
		dst[c] = make([]float32, 8192)
	}
	for total := int64(0); ; {
		n, err := s.Read(dst)
		if err != nil {
			s.Faults()
			return err
		}
		if total += int64(n); total > size*mostPerByte+mostSilence {
			t.Fatalf("%d samples from %d bytes", total, size)
		}
		for c := range dst {
			for _, v := range dst[c][:n] {
				if v-v != 0 {
					t.Fatal("a sample that is not finite")
				}
			}
		}
	}
}
