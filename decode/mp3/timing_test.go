package mp3

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// With a LAME tag the length is that of the encoder's input, to the sample.
func TestLengthWithLameTag(t *testing.T) {
	for _, c := range []struct {
		rate, n int
		args    string
	}{
		{44100, 44100, "-b 320"}, {44100, 1, "-b 128"}, {44100, 1151, "-b 128"}, {44100, 1152, "-b 128"},
		{44100, 1153, "-V 2"}, {44100, 100000, "-V 5"}, {44100, 99999, "--abr 140"}, {48000, 50001, "-b 192"},
		{32000, 32007, "-b 96"}, {22050, 30011, "-b 64"}, {24000, 577, "-b 64"}, {16000, 16001, "-V 4"},
		{11025, 9999, "-b 32"}, {12000, 12345, "-b 32"}, {8000, 8001, "-b 24"}, {44100, 5000, "-b 128 -p"},
		{44100, 5001, "-b 400 --freeformat"},
	} {
		wav := wavFile(t, "chords", c.n, c.rate, 2)
		got, s := ours(t, readFile(t, encode(t, wav, strings.Fields(c.args)...)))
		if len(got[0]) != c.n {
			t.Errorf("%d Hz, %s: %d samples, want %d", c.rate, c.args, len(got[0]), c.n)
		}
		if s.Info().Frames != int64(c.n) {
			t.Errorf("%d Hz, %s: Info states %d samples, want %d", c.rate, c.args, s.Info().Frames, c.n)
		}
	}
}

// A click stays at its sample, at every place in the frame.
func TestClickStaysInPlace(t *testing.T) {
	const rate, n, spacing = 44100, 5 * 44100, 10007
	var x [2][]float64
	x[0], x[1] = make([]float64, n), make([]float64, n)
	var clicks []int
	for at := spacing; at < n-spacing; at += spacing {
		x[0][at], x[1][at] = 0.9, 0.9
		clicks = append(clicks, at)
	}
	wav := filepath.Join(t.TempDir(), "clicks.wav")
	if err := os.WriteFile(wav, wavBytes(x, rate, 2), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range []string{"-b 320", "-b 128", "-V 0", "-V 4"} {
		got, _ := ours(t, readFile(t, encode(t, wav, strings.Fields(args)...)))
		for _, at := range clicks {
			found, peak := 0, float32(0)
			for i := at - spacing/2; i < at+spacing/2; i++ {
				if v := got[0][i]; v > peak {
					found, peak = i, v
				}
			}
			if math.Abs(float64(found-at)) > 1 {
				t.Errorf("%s: the click at %d is at %d", args, at, found)
			}
		}
	}
}

// Without a LAME tag the length and the start are those of mpg123.
func TestLengthWithoutTag(t *testing.T) {
	for _, args := range []string{"-b 128 -t", "-V 3 -t", "-b 64 -t -m j", "-b 96 -t --nores"} {
		path := encode(t, wavFile(t, "castanets", 50000, 44100, 2), strings.Fields(args)...)
		got, s := ours(t, readFile(t, path))
		if want := mpg123(t, path, 2); len(got[0]) != len(want[0]) {
			t.Errorf("%s: %d samples, mpg123 has %d", args, len(got[0]), len(want[0]))
		}
		if s.Info().Frames != -1 {
			t.Errorf("%s: Info states %d samples, want -1", args, s.Info().Frames)
		}
	}
}

// The mean bit rate is that of the settings.
func TestBitrate(t *testing.T) {
	for _, c := range []struct {
		args      string
		low, high int
	}{
		{"-b 320", 319, 320}, {"-b 128 -t", 128, 128}, {"--abr 160", 120, 200}, {"-b 250 --freeformat -t", 249, 251},
	} {
		wav := wavFile(t, "master", 4*44100, 44100, 2)
		_, s := ours(t, readFile(t, encode(t, wav, strings.Fields(c.args)...)))
		if got := s.Info().BitrateKbps; got < c.low || got > c.high {
			t.Errorf("%s: %d kbit/s, want %d to %d", c.args, got, c.low, c.high)
		}
	}
}

// The frame in front is enough to believe in a file whose next frames are zeroed, so that
// the rest stays in its time: with a CRC too, where lame puts the word Info two bytes
// early.
func TestZeroedBehindTag(t *testing.T) {
	for _, args := range []string{"-b 96", "-b 96 -p", "-V 4", "-V 4 -p", "-b 64 -m m -p"} {
		c := newCleanFile(t, encode(t, wavFile(t, "castanets", 4*44100, 44100, 2), strings.Fields(args)...))
		data := bytes.Clone(c.data)
		clear(data[c.pieces[1].head+20 : c.pieces[8].head+9])
		got, s := ours(t, data)
		if len(got[0]) != len(c.x[0]) {
			t.Errorf("%s: %d samples, the sound file has %d; %v", args, len(got[0]), len(c.x[0]), s.Faults())
		}
	}
}

// With a hole in it a file keeps its length, to the sample, and is not said to end early.
// The padding that the file states is lame's, and less than the filter banks are late by,
// so that the encoder's input ends behind the last frame.
func TestLengthWithHole(t *testing.T) {
	for _, padding := range []int{0, 1, 300, 528, 529, 900} {
		c := newCleanFile(t, encode(t, wavFile(t, "chords", 50000, 44100, 2), "-b", "128"))
		data := bytes.Clone(c.data)
		field := data[bytes.Index(data, []byte("LAME"))+lameDelay:]
		was := int(field[1]&15)<<8 | int(field[2])
		field[1], field[2] = field[1]&0xF0|byte(padding>>8), byte(padding)
		n := len(c.x[0]) + was - padding
		if got, s := ours(t, data); len(got[0]) != n || len(s.Faults()) > 0 {
			t.Errorf("padding %d: %d samples, want %d; %v", padding, len(got[0]), n, s.Faults())
		}
		filled := join(data, make([]byte, 9000)) // more bytes than the file states: its end is not believed
		if got, s := ours(t, filled); len(got[0]) < min(n, 50735) || len(s.Faults()) > 0 {
			t.Errorf("padding %d, with zeros behind: %d samples; %v", padding, len(got[0]), s.Faults())
		}
		clear(data[c.pieces[20].head : c.pieces[24].head+100])
		got, s := ours(t, data)
		if f := s.Faults(); len(got[0]) != n || len(f) != 1 || f[0].Kind != stream.Damaged {
			t.Errorf("padding %d, with a hole: %d samples, want %d; %v", padding, len(got[0]), n, f)
		}
	}
}
