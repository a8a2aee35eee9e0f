package main

import (
	"context"
	"encoding/binary"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/decode"
	"dubgauge/decode/need"
	"dubgauge/detect/fingerprint"
	"dubgauge/detect/key"
)

// tuneForms are what is done to a tune, besides nothing. Each may change its copy.
var tuneForms = []struct {
	name string
	make func(t testing.TB, a sound.Audio) fingerprint.Print
}{
	{"as it is", func(t testing.TB, a sound.Audio) fingerprint.Print { return tunePrint(a) }},
	{"gain", func(t testing.TB, a sound.Audio) fingerprint.Print { a.Gain(-6.3); return tunePrint(a) }},
	{"equaliser, low", func(t testing.TB, a sound.Audio) fingerprint.Print {
		a.Filter(func() *sound.Biquad { return sound.LowShelf(100, 5) })
		a.Filter(func() *sound.Biquad { return sound.Bell(2500, -4, 1) })
		return tunePrint(a)
	}},
	{"equaliser, high", func(t testing.TB, a sound.Audio) fingerprint.Print {
		a.Filter(func() *sound.Biquad { return sound.HighShelf(1500, 5) })
		a.Filter(func() *sound.Biquad { return sound.Bell(400, -5, 0.8) })
		return tunePrint(a)
	}},
	{"limiter", func(t testing.TB, a sound.Audio) fingerprint.Print {
		a.Gain(8)
		sound.LimitTruePeak(a.L, a.R, sound.Decibels(-0.3))
		return tunePrint(a)
	}},
	{"MP3 at 128 kbit/s", func(t testing.TB, a sound.Audio) fingerprint.Print {
		return throughProgram(t, a, "x.mp3", need.Program(t, "lame"), "--quiet", "-b", "128")
	}},
	{"48 kHz", func(t testing.TB, a sound.Audio) fingerprint.Print {
		return throughProgram(t, a, "x48.wav", need.Program(t, "sox"), "-r48000")
	}},
	{"cut short", func(t testing.TB, a sound.Audio) fingerprint.Print {
		n := a.Len()
		return tunePrint(a.Part(n/5+12345, n*4/5))
	}},
	{"new intro", func(t testing.TB, a sound.Audio) fingerprint.Print {
		drums := studio.Compose(studio.GenreNamed("house"), 900+uint64(a.Len()%50)).Stems().Drums
		return tunePrint(joined(drums.Part(0, 20*sound.Rate+7777), a))
	}},
}

// joined is b behind a.
func joined(a, b sound.Audio) sound.Audio {
	return sound.Audio{L: append(append([]float64(nil), a.L...), b.L...), R: append(append([]float64(nil), a.R...), b.R...)}
}

// tunePrint is the print of audio.
func tunePrint(a sound.Audio) fingerprint.Print {
	tone := key.New(sound.Rate, 2)
	m := fingerprint.Of(tone)
	a.Blocks(tone.Write)
	return m.Print()
}

// filePrint is the print of a file.
func filePrint(t testing.TB, path string) fingerprint.Print {
	t.Helper()
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	tone := key.New(s.Info().SampleRate, s.Info().Channels)
	m := fingerprint.Of(tone)
	readBlocks(t, s, tone.Write)
	return m.Print()
}

// readBlocks hands a whole stream on.
func readBlocks(t testing.TB, s decode.Stream, write func([][]float32)) {
	t.Helper()
	buf, block := make([][]float32, s.Info().Channels), make([][]float32, s.Info().Channels)
	for c := range buf {
		buf[c] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(buf)
		for c := range block {
			block[c] = buf[c][:n]
		}
		if n > 0 {
			write(block)
		}
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// wholePiece decodes a piece of 44.1 kHz to its end.
func wholePiece(t testing.TB, path string) (a sound.Audio) {
	t.Helper()
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	readBlocks(t, s, func(block [][]float32) {
		for i := range block[0] {
			a.L = append(a.L, float64(block[0][i]))
			a.R = append(a.R, float64(block[len(block)-1][i]))
		}
	})
	return a
}

// throughProgram writes audio as a WAV of 16 bits and has a program make another file of
// it: program, arguments, and both names, the options of sox standing before its output.
func throughProgram(t testing.TB, a sound.Audio, name, program string, options ...string) fingerprint.Print {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.wav"), filepath.Join(dir, name)
	if err := os.WriteFile(in, wav16(a), 0o600); err != nil {
		t.Fatal(err)
	}
	args := append(append([]string{}, options...), in, out)
	if filepath.Base(program) == "sox" {
		args = append([]string{in}, append(options, out)...)
	}
	if text, err := exec.Command(program, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", program, err, text)
	}
	return filePrint(t, out)
}

// wav16 is a WAV file (RIFF, PCM, 16 bits).
func wav16(a sound.Audio) []byte {
	le := binary.LittleEndian
	n := uint32(4 * a.Len())
	b := le.AppendUint32([]byte("RIFF"), 36+n)
	b = le.AppendUint32(append(b, "WAVEfmt "...), 16)
	b = le.AppendUint16(le.AppendUint16(b, 1), 2)
	b = le.AppendUint32(le.AppendUint32(b, sound.Rate), 4*sound.Rate)
	b = le.AppendUint16(le.AppendUint16(b, 4), 16)
	b = le.AppendUint32(append(b, "data"...), n)
	for i := range a.L {
		for _, v := range []float64{a.L[i], a.R[i]} {
			b = le.AppendUint16(b, uint16(int16(max(-32768, min(32767, v*32767)))))
		}
	}
	return b
}
