package compare

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dubgauge/decode"
	"dubgauge/decode/need"
)

// file writes a as a WAV file of 24 bit.
func file(t *testing.T, a audio) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a.wav")
	n := len(a.x[0])
	le := func(v uint32, bytes int) (out []byte) {
		for range bytes {
			out = append(out, byte(v))
			v >>= 8
		}
		return out
	}
	data := append([]byte("RIFF"), le(uint32(36+6*n), 4)...)
	data = append(append(data, "WAVEfmt "...), le(16, 4)...)
	data = append(append(data, le(1, 2)...), le(2, 2)...)
	data = append(append(data, le(uint32(a.rate), 4)...), le(uint32(6*a.rate), 4)...)
	data = append(append(data, le(6, 2)...), le(24, 2)...)
	data = append(append(data, "data"...), le(uint32(6*n), 4)...)
	for i := range n {
		for c := range a.x {
			if v := a.x[c][i]; v >= 1 || v < -1 {
				t.Fatalf("sample %d is %g: full scale is passed", i, v)
			}
			data = append(data, le(uint32(int32(math.Round(float64(a.x[c][i])*(1<<23)))), 3)...)
		}
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// through is a behind another program; {in} and {out} in its arguments are files.
func through(t *testing.T, a audio, ending, program string, args ...string) audio {
	t.Helper()
	program = need.Program(t, program)
	in, out := file(t, a), filepath.Join(t.TempDir(), "b."+ending)
	for i, s := range args {
		switch s {
		case "{in}":
			args[i] = in
		case "{out}":
			args[i] = out
		}
	}
	if text, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", program, err, text)
	}
	s, err := decode.Open(t.Context(), out)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	got := audio{s.Info().SampleRate, make([][]float32, s.Info().Channels)}
	buf := make([][]float32, len(got.x))
	for c := range buf {
		buf[c] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(buf)
		for c := range buf {
			got.x[c] = append(got.x[c], buf[c][:n]...)
		}
		if err != nil {
			return got
		}
	}
}

// What independent programs do to a track is told, and where it lies: an encoder's padding and
// another sample rate move nothing by more than a tenth of a millisecond.
func TestPrograms(t *testing.T) {
	a := song(5, 126, 22, rate).louder(-9)
	for _, c := range []struct {
		name   string
		b      audio
		kind   Kind
		offset float64
		gain   float64
	}{
		{"MP3 320", through(t, a, "mp3", "lame", "--quiet", "-b", "320", "{in}", "{out}"), Encoder, 0, 0},
		// lame takes 0.95 of what it is given at 128 kbit/s: a sine of -6.02 dBFS comes back at -6.47 through ffmpeg.
		{"MP3 128", through(t, a, "mp3", "lame", "--quiet", "-b", "128", "{in}", "{out}"), Encoder, 0, 20 * math.Log10(0.95)},
		{"AAC 128, 2 dB quieter, later", through(t, a.louder(-2).from(-5000), "m4a", "ffmpeg", "-v", "error", "-i", "{in}", "-c:a", "aac", "-b:a", "128k", "{out}"), Encoder, 5000, -2},
		{"at 48 kHz", through(t, a, "wav", "sox", "{in}", "-b", "24", "{out}", "rate", "48000"), Same, 0, 0},
		{"at 96 kHz, 3 s cut off", through(t, a.from(3*rate), "wav", "sox", "{in}", "-b", "24", "{out}", "rate", "96000"), Same, -3 * rate, 0},
		{"MP3 128 of a louder, brighter, limited one", through(t, a.shelf(150, 4).louder(3).limited(0.3), "mp3", "lame", "--quiet", "-b", "128", "{in}", "{out}"), Mix, 0, math.NaN()},
		{"an equaliser of another program", through(t, a, "wav", "sox", "{in}", "-b", "24", "{out}", "gain", "-6", "equalizer", "1000", "1o", "5"), Equaliser, 0, math.NaN()},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := held(t, a, c.b)
			t.Logf("%s: offset %v, gain %v, residual %v, reduction %v, speed %v", r.Kind, r.OffsetSamples, r.GainDB, r.ResidualDB, r.ReductionDB, r.SpeedPercent)
			if r.Kind != c.kind && c.kind != "" {
				t.Errorf("%s, want %s", r.Kind, c.kind)
			}
			if ms := 1000 * math.Abs(float64(r.OffsetSamples)-c.offset) / rate; !(ms <= 0.1) {
				t.Errorf("offset %v, want %v", r.OffsetSamples, c.offset)
			}
			if !math.IsNaN(c.gain) && math.Abs(float64(r.GainDB)-c.gain) > 0.05 {
				t.Errorf("gain %v, want %v", r.GainDB, c.gain)
			}
		})
	}
}
