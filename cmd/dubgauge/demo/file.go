package demo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
	"github.com/mewkiz/flac"
	"github.com/mewkiz/flac/frame"
	"github.com/mewkiz/flac/meta"

	"dubgauge/cmd/dubgauge/sound"
)

// quantise turns samples into integers of the given depth, interleaved, with
// triangular dither of one step either way from a fixed sequence.
func quantise(left, right []float64, bits int) []int {
	full := float64(int64(1) << (bits - 1))
	out := make([]int, 0, 2*len(left))
	state := uint32(1)
	random := func() float64 { // a linear congruential step of Numerical Recipes
		state = state*1664525 + 1013904223
		return float64(state) / (1 << 32)
	}
	for i := range left {
		for _, v := range [2]float64{left[i], right[i]} {
			q := math.Round(v*full + random() - random())
			out = append(out, int(math.Max(-full, math.Min(full-1, q))))
		}
	}
	return out
}

// write stores samples as the file's ending says: .wav, .aiff or .flac.
func write(path, format string, bits int, left, right []float64, t tagSet) error {
	samples := quantise(left, right, bits)
	switch format {
	case "wav":
		return writeWAV(path, samples, bits, t)
	case "aiff":
		return os.WriteFile(path, aiff(samples, bits, t), 0o644)
	case "flac":
		return writeFLAC(path, samples, bits, t)
	}
	return fmt.Errorf("demo: no such format as %q", format)
}

func writeWAV(path string, samples []int, bits int, t tagSet) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	e := wav.NewEncoder(f, sound.Rate, bits, 2, 1)
	if err := e.Write(&audio.IntBuffer{Format: &audio.Format{NumChannels: 2, SampleRate: sound.Rate}, Data: samples, SourceBitDepth: bits}); err != nil {
		return err
	}
	if err := e.Close(); err != nil {
		return err
	}
	return appendID3(f, t)
}

// appendID3 adds an ID3 chunk to a finished WAV file and corrects its size.
func appendID3(f *os.File, t tagSet) error {
	end, err := f.Seek(0, 2)
	if err != nil || len(t) == 0 {
		return err
	}
	c := chunk("id3 ", t.id3(), binary.LittleEndian)
	if end%2 == 1 {
		c = append([]byte{0}, c...)
	}
	if _, err := f.Write(c); err != nil {
		return err
	}
	size := binary.LittleEndian.AppendUint32(nil, uint32(end)+uint32(len(c))-8)
	_, err = f.WriteAt(size, 4)
	return err
}

// chunk is an IFF chunk: a name, a size, a body padded to an even length.
func chunk(name string, body []byte, order binary.AppendByteOrder) []byte {
	c := append(order.AppendUint32([]byte(name), uint32(len(body))), body...)
	if len(body)%2 == 1 {
		c = append(c, 0)
	}
	return c
}

// aiff builds an AIFF file (Apple, Audio Interchange File Format 1.3, 1989).
func aiff(samples []int, bits int, t tagSet) []byte {
	be := binary.BigEndian
	comm := be.AppendUint16(nil, 2)
	comm = be.AppendUint32(comm, uint32(len(samples)/2))
	comm = be.AppendUint16(comm, uint16(bits))
	// 44100 as an 80-bit extended number: exponent 16383+15, mantissa 44100<<48.
	comm = be.AppendUint16(comm, 16383+15)
	comm = be.AppendUint64(comm, sound.Rate<<48)
	ssnd := make([]byte, 8, 8+len(samples)*bits/8)
	for _, v := range samples {
		for b := bits - 8; b >= 0; b -= 8 {
			ssnd = append(ssnd, byte(v>>b))
		}
	}
	body := append([]byte("AIFF"), chunk("COMM", comm, be)...)
	body = append(body, chunk("SSND", ssnd, be)...)
	if len(t) > 0 {
		body = append(body, chunk("ID3 ", t.id3(), be)...)
	}
	return chunk("FORM", body, be)
}

// blockSize of the FLAC files, in samples a channel.
const blockSize = 4096

func writeFLAC(path string, samples []int, bits int, t tagSet) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	info := &meta.StreamInfo{BlockSizeMin: blockSize, BlockSizeMax: blockSize, SampleRate: sound.Rate,
		NChannels: 2, BitsPerSample: uint8(bits), NSamples: uint64(len(samples) / 2)}
	// The encoder works out the length itself, but leaves out a block of length 0.
	comments := &meta.Block{Header: meta.Header{Type: meta.TypeVorbisComment, Length: 1}, Body: &meta.VorbisComment{Vendor: "dubgauge demo", Tags: t.vorbis()}}
	e, err := flac.NewEncoder(f, info, comments)
	if err != nil {
		return err
	}
	e.EnablePredictionAnalysis(true)
	for at, n := 0, 0; at < len(samples); at, n = at+2*blockSize, n+1 {
		if err := e.WriteFrame(flacFrame(samples[at:min(len(samples), at+2*blockSize)], bits, uint64(n))); err != nil {
			return err
		}
	}
	return e.Close()
}

func flacFrame(samples []int, bits int, num uint64) *frame.Frame {
	n := len(samples) / 2
	// Verbatim leaves the choice of a prediction to the encoder.
	subframes := []*frame.Subframe{{NSamples: n}, {NSamples: n}}
	for _, s := range subframes {
		s.Pred = frame.PredVerbatim
	}
	for i, v := range samples {
		s := subframes[i%2]
		s.Samples = append(s.Samples, int32(v))
	}
	return &frame.Frame{
		Header: frame.Header{HasFixedBlockSize: true, BlockSize: uint16(n), SampleRate: sound.Rate,
			Channels: frame.ChannelsLR, BitsPerSample: uint8(bits), Num: num},
		Subframes: subframes,
	}
}

// tagSet holds tags by the names of Vorbis comments.
type tagSet map[string]string

// id3Frames maps Vorbis comments to text frames of ID3v2.4; what is not here
// becomes a TXXX frame.
var id3Frames = map[string]string{"TITLE": "TIT2", "ARTIST": "TPE1", "ALBUM": "TALB", "LABEL": "TPUB",
	"ISRC": "TSRC", "DATE": "TDRC", "GENRE": "TCON"}

// id3 builds an ID3v2.4 tag (id3.org, structure and frames of 2000), texts in
// UTF-8.
func (t tagSet) id3() []byte {
	var frames []byte
	for _, kv := range t.vorbis() {
		body := append([]byte{3}, kv[1]...)
		name, ok := id3Frames[kv[0]]
		if !ok {
			name = "TXXX"
			body = append(append([]byte{3}, kv[0]...), append([]byte{0}, kv[1]...)...)
		}
		frames = append(frames, name...)
		frames = append(frames, syncsafe(len(body))...)
		frames = append(append(frames, 0, 0), body...)
	}
	return bytes.Join([][]byte{{'I', 'D', '3', 4, 0, 0}, syncsafe(len(frames)), frames}, nil)
}

// syncsafe writes a size in four bytes of seven bits.
func syncsafe(n int) []byte {
	return []byte{byte(n>>21) & 0x7f, byte(n>>14) & 0x7f, byte(n>>7) & 0x7f, byte(n) & 0x7f}
}

// vorbis lists the tags in a fixed order.
func (t tagSet) vorbis() [][2]string {
	var out [][2]string
	for _, k := range []string{"TITLE", "ARTIST", "ALBUM", "LABEL", "CATALOGNUMBER", "ISRC", "DATE", "GENRE"} {
		if v := t[k]; v != "" {
			out = append(out, [2]string{k, v})
		}
	}
	return out
}
