// Package encode finds out what an encoder makes of the loudest part of a track: it encodes
// it with a program that is at hand, decodes that, and measures the true peak. Nothing but a
// temporary folder is written to.
package encode

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"

	"dubgauge/detect/coded"
	"dubgauge/detect/truepeak"
	"dubgauge/library"
)

// ErrNoProgram: no program for an encoding is at hand.
var ErrNoProgram = errors.New("no encoder is at hand")

// loudestSeconds is the length of the part that is encoded.
const loudestSeconds = 30

// program is a way of encoding: in and out stand for the files.
type program struct {
	name   string
	args   []string
	ending string
}

// programs of each encoding, the first that is at hand serves. lame is the reference for MP3;
// ffmpeg's is the same library, where it has one.
var programs = map[coded.Encoding][]program{
	coded.MP3320: {
		{"lame", []string{"--quiet", "-b", "320", "in", "out"}, ".mp3"},
		{"ffmpeg", []string{"-nostdin", "-v", "error", "-i", "in", "-c:a", "libmp3lame", "-b:a", "320k", "out"}, ".mp3"},
	},
	coded.AAC256: {{"ffmpeg", []string{"-nostdin", "-v", "error", "-i", "in", "-c:a", "aac", "-b:a", "256k", "out"}, ".m4a"}},
}

// Part is the loudest part of a track, decoded.
type Part struct {
	Rate     int
	Channels [][]float32
}

// Loudest decodes the loudest 30 s of t; a shorter track whole.
func Loudest(ctx context.Context, t *library.Track) (Part, error) {
	start := max(0, float64(t.Loudness.Loudest30sStartS)) // NaN stays, and is no place
	if math.IsNaN(start) {
		start = 0
	}
	s, err := t.AudioAt(ctx, start)
	if err != nil {
		return Part{}, err
	}
	defer s.Close()
	p := Part{Rate: s.Info().SampleRate, Channels: make([][]float32, s.Info().Channels)}
	block := make([][]float32, len(p.Channels))
	for c := range block {
		block[c] = make([]float32, 4096)
	}
	for left := loudestSeconds * p.Rate; left > 0; {
		if err := ctx.Err(); err != nil {
			return p, err
		}
		n, err := s.Read(block)
		n = min(n, left)
		for c := range block {
			p.Channels[c] = append(p.Channels[c], block[c][:n]...)
		}
		left -= n
		if err == io.EOF {
			break
		}
		if err != nil {
			return p, err
		}
	}
	if len(p.Channels) == 0 || len(p.Channels[0]) == 0 {
		return p, errors.New("there is no sound in it")
	}
	return p, nil
}

// TruePeak is that of the part, in dBTP.
func (p *Part) TruePeak() float64 {
	m := truepeak.New(p.Rate, len(p.Channels))
	m.Write(p.Channels)
	return m.Result().TruePeak
}

// Encoded is the true peak of the part after encoding and decoding, in dBTP. The error is
// ErrNoProgram, that of ctx, or what the program said.
func (p *Part) Encoded(ctx context.Context, e coded.Encoding) (float64, error) {
	how, path, ok := find(e)
	if !ok {
		return math.NaN(), ErrNoProgram
	}
	dir, err := os.MkdirTemp("", "dubgauge-")
	if err != nil {
		return math.NaN(), err
	}
	defer os.RemoveAll(dir)
	in, out := filepath.Join(dir, "in.wav"), "out"+how.ending
	data, down := p.wav()
	if err := os.WriteFile(in, data, 0o600); err != nil {
		return math.NaN(), err
	}
	if err := how.run(ctx, path, in, filepath.Join(dir, out)); err != nil {
		return math.NaN(), err
	}
	peak, err := truePeakOf(ctx, &library.Track{Root: dir, Record: library.Record{Path: out}})
	return peak + down, err
}

// truePeakOf decodes a file, in dBTP.
func truePeakOf(ctx context.Context, t *library.Track) (float64, error) {
	s, err := t.Audio(ctx)
	if err != nil {
		return math.NaN(), err
	}
	defer s.Close()
	block := make([][]float32, s.Info().Channels)
	part := make([][]float32, len(block))
	for c := range block {
		block[c] = make([]float32, 4096)
	}
	for m := truepeak.New(s.Info().SampleRate, len(block)); ; {
		n, err := s.Read(block)
		for c := range block {
			part[c] = block[c][:n]
		}
		m.Write(part)
		if err == io.EOF {
			return m.Result().TruePeak, nil
		}
		if err != nil {
			return math.NaN(), err
		}
	}
}

// find gives the first program that is at hand.
func find(e coded.Encoding) (how program, path string, ok bool) {
	for _, how := range programs[e] {
		if path, err := exec.LookPath(how.name); err == nil {
			return how, path, true
		}
	}
	return program{}, "", false
}

// run runs the program without a shell.
func (how *program) run(ctx context.Context, path, in, out string) error {
	args := make([]string, len(how.args))
	for i, a := range how.args {
		switch a {
		case "in":
			a = in
		case "out":
			a = out
		}
		args[i] = a
	}
	var said bytes.Buffer
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.Stderr = &said
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return fmt.Errorf("%s: %w: %.200s", how.name, err, bytes.TrimSpace(said.Bytes()))
	}
	return nil
}

// wav is the part as WAV of 24 bits, which encoders read as it is (lame brings floats to full
// scale), turned down by so many dB where its samples pass full scale.
func (p *Part) wav() (file []byte, downDB float64) {
	const bytesEach, full = 3, 1<<23 - 1
	top := 1.0
	for _, x := range p.Channels {
		for _, v := range x {
			top = max(top, math.Abs(float64(v)))
		}
	}
	channels := uint32(len(p.Channels))
	data := uint32(len(p.Channels[0])) * channels * bytesEach
	le := binary.LittleEndian
	b := make([]byte, 0, 45+data)
	b = le.AppendUint32(append(b, "RIFF"...), 36+data+data%2)
	b = le.AppendUint32(append(b, "WAVEfmt "...), 16)
	b = le.AppendUint16(le.AppendUint16(b, 1), uint16(channels))
	b = le.AppendUint32(le.AppendUint32(b, uint32(p.Rate)), uint32(p.Rate)*channels*bytesEach)
	b = le.AppendUint16(le.AppendUint16(b, uint16(channels)*bytesEach), 8*bytesEach)
	b = le.AppendUint32(append(b, "data"...), data)
	for i := range p.Channels[0] {
		for _, x := range p.Channels {
			v := int32(math.Round(float64(x[i]) / top * full))
			b = append(b, byte(v), byte(v>>8), byte(v>>16))
		}
	}
	return append(b, make([]byte, data%2)...), 20 * math.Log10(top)
}
