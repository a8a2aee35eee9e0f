package detect_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	gomp3 "github.com/hajimehoshi/go-mp3"

	"dubgauge/decode"
	"dubgauge/decode/mp3"
	"dubgauge/decode/need"
	"dubgauge/detect"
)

// compared is a file that is measured through two MP3 decoders. What go-mp3 does
// differently, and why, stands in the fields.
type compared struct {
	name           string
	rate, channels int
	gainDB         float64 // into the saturation of the synthesised music
	args           string  // of lame
	// clips says that peaks of the decoded music are above full scale. go-mp3 makes 16-bit
	// samples and cuts them off there; ours keeps them.
	clips bool
	// loudnessLU is by how much go-mp3 makes the file louder, 0 where both must agree.
	loudnessLU float64
}

// doubled is what BS.1770 gives a channel that is there twice: 10 log10(2). go-mp3 plays
// mono as two channels.
const doubled = 3.0103

var comparedFiles = []compared{
	{"128 kbit/s joint stereo", 44100, 2, -8, "-b 128 -m j", false, 0},
	{"128 kbit/s joint stereo, loud", 44100, 2, 12, "-b 128 -m j", true, 0},
	{"192 kbit/s stereo", 44100, 2, -8, "-b 192 -m s", false, 0},
	{"320 kbit/s stereo, loud", 44100, 2, 12, "-b 320 -m s", true, 0},
	{"V0", 44100, 2, -8, "-V 0", false, 0},
	{"mono 64 kbit/s", 44100, 1, -8, "-b 64 -m m", false, doubled},
	{"22.05 kHz, 64 kbit/s", 22050, 2, -8, "-b 64 -m s", false, 0},
}

const (
	comparedSeconds = 8
	// comparedLU is how close the integrated loudness through both decoders must be.
	comparedLU = 0.05
	// comparedPeakDB is that of the true peak where nothing clips: 16-bit rounding.
	comparedPeakDB = 0.05
	// clippedDB is by how much the true peak, and clippedSampleDB the sample peak, must be
	// higher at least through ours where go-mp3 clips. Its true peak is over 0 dBTP too:
	// cutting samples off leaves what is between them. 0.13 to 0.31 and 0.49 to 0.54 dB
	// were measured.
	clippedDB, clippedSampleDB = 0.1, 0.3
	// go-mp3 plays in front the Xing frame, as a frame of silence, and atStartDelay: lame's
	// delay of 576 samples and the filter banks' of 529. Behind the end it plays the padding
	// of at most atEndFrames. Beats sit 51 ms late so, at 44.1 kHz.
	atStartDelay = 576 + 529
	atEndFrames  = 2
)

// What a track measured through the decoder used before, go-mp3, and through ours:
//
//   - Peaks above full scale are there only through ours, see clippedDB.
//   - Mono is 3 LU quieter through ours: one channel, as it is in a WAV file.
//   - The length is that of the music given to the encoder, see atStartDelay.
//   - Otherwise loudness and peak agree. go-mp3's 0.01 LU less is nearly all from the
//     gating blocks: ours reads so too with as much silence in front. In joint stereo go-mp3
//     leaves out lines of mid/side frames. Here that changes samples by up to 0.04 of full
//     scale, in few places: nothing that shows in these figures.
//
// To see the table:
//
//	go test ./detect -run MP3BeforeAndAfter -v
func TestMP3BeforeAndAfter(t *testing.T) {
	need.Program(t, "lame")
	table := new(strings.Builder)
	fmt.Fprintln(table, "| File | Integrated before, LUFS | after | Sample peak before, dBFS | after | True peak before, dBTP | after | Duration before, s | after |")
	fmt.Fprintln(table, "|---|---:|---:|---:|---:|---:|---:|---:|---:|")
	for _, c := range comparedFiles {
		n := comparedSeconds * c.rate
		data := c.encode(t, n)
		before, after := measured(t, throughGoMP3(t, data)), measured(t, throughOurs(t, data))
		fmt.Fprintf(table, "| %s | %.2f | %.2f | %.2f | %.2f | %.2f | %.2f | %.4f | %.4f |\n", c.name,
			before.Loudness.IntegratedLUFS, after.Loudness.IntegratedLUFS,
			before.Peak.SamplePeakDBFS, after.Peak.SamplePeakDBFS,
			before.Peak.TruePeakDBTP, after.Peak.TruePeakDBTP, before.File.DurationS, after.File.DurationS)
		c.check(t, n, before, after)
	}
	t.Logf("\n%s", table)
}

func (c compared) check(t *testing.T, n int, before, after detect.Measurement) {
	t.Helper()
	louder := float64(before.Loudness.IntegratedLUFS - after.Loudness.IntegratedLUFS)
	if !(math.Abs(louder-c.loudnessLU) <= comparedLU) {
		t.Errorf("%s: go-mp3 is louder by %.3f LU, want %.3f", c.name, louder, c.loudnessLU)
	}
	if cut, kept := before.Peak.SamplePeakDBFS, after.Peak.SamplePeakDBFS; c.clips && !(cut <= 0 && kept >= clippedSampleDB) {
		t.Errorf("%s: sample peak %.2f dBFS, %.2f through go-mp3, which ends at full scale", c.name, kept, cut)
	}
	ours := float64(after.Peak.TruePeakDBTP)
	higher := ours - float64(before.Peak.TruePeakDBTP)
	switch {
	case c.clips && !(ours > 0 && higher >= clippedDB):
		t.Errorf("%s: true peak %.2f dBTP, %.2f dB above go-mp3's; it is clipped there", c.name, ours, higher)
	case !c.clips && !(math.Abs(higher) <= comparedPeakDB):
		t.Errorf("%s: true peak %.2f dBTP, %.2f dB above go-mp3's", c.name, ours, higher)
	}
	if got := samples(after); got != n {
		t.Errorf("%s: %d samples, the encoder was given %d", c.name, got, n)
	}
	frame := 1152 // ISO/IEC 11172-3; half of that by 13818-3, below 32 kHz
	if c.rate < 32000 {
		frame = 576
	}
	added, least := samples(before)-n, frame+atStartDelay
	if added < least || added > least+atEndFrames*frame {
		t.Errorf("%s: go-mp3 plays %d samples more, want %d to %d", c.name, added, least, least+atEndFrames*frame)
	}
}

func samples(m detect.Measurement) int {
	return int(math.Round(float64(m.File.DurationS) * float64(m.File.SampleRateHz)))
}

func measured(t *testing.T, s decode.Stream) detect.Measurement {
	t.Helper()
	m, err := detect.Analyze(context.Background(), s, 1, nil)
	if err != nil || m.Error != nil {
		t.Fatal(err, m.Error)
	}
	return m
}

func throughOurs(t *testing.T, data []byte) decode.Stream {
	t.Helper()
	s, err := mp3.Open(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// goMP3 is go-mp3 as a stream: 16-bit stereo, whatever the file has.
type goMP3 struct {
	d   *gomp3.Decoder
	pcm []byte
}

func throughGoMP3(t *testing.T, data []byte) decode.Stream {
	t.Helper()
	d, err := gomp3.NewDecoder(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return &goMP3{d: d}
}

func (s *goMP3) Info() decode.Info {
	return decode.Info{Format: "mp3", Codec: "mp3", SampleRate: s.d.SampleRate(), Channels: 2, Frames: -1}
}

func (s *goMP3) Read(dst [][]float32) (int, error) {
	const frame = 4 // bytes
	if need := frame * len(dst[0]); len(s.pcm) < need {
		s.pcm = make([]byte, need)
	}
	n, err := io.ReadFull(s.d, s.pcm[:frame*len(dst[0])])
	if n < frame {
		return 0, err
	}
	for i := range n / frame {
		for ch := range dst {
			dst[ch][i] = float32(int16(binary.LittleEndian.Uint16(s.pcm[frame*i+2*ch:]))) / 32768
		}
	}
	return n / frame, nil
}

func (s *goMP3) Faults() []decode.Error { return nil }
func (s *goMP3) Close() error           { return nil }

// encode makes n samples of music and encodes them.
func (c compared) encode(t *testing.T, n int) []byte {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "in.raw"), filepath.Join(dir, "out.mp3")
	if err := os.WriteFile(in, c.music(n), 0o644); err != nil {
		t.Fatal(err)
	}
	args := append([]string{"--quiet", "-r", "-s", fmt.Sprint(float64(c.rate) / 1000), "--signed", "--bitwidth", "16", "--little-endian"}, strings.Fields(c.args)...)
	if b, err := exec.Command("lame", append(args, in, out)...).CombinedOutput(); err != nil {
		t.Fatalf("lame: %v: %s", err, b)
	}
	data, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// music is a kick and an off-beat bass at 126 BPM, chords to one side and hats to both,
// driven by the gain into a saturation that ends at full scale: 16-bit samples.
func (c compared) music(n int) []byte {
	r := rand.New(rand.NewPCG(126, 1))
	gain, beat := math.Pow(10, c.gainDB/20), 60/126.0
	var b []byte
	for i := range n {
		t := float64(i) / float64(c.rate)
		in, off := math.Mod(t, beat), math.Mod(t+beat/2, beat)
		middle := 0.9*math.Exp(-9*in)*math.Sin(2*math.Pi*(50*in+4*(1-math.Exp(-35*in)))) + 0.4*math.Exp(-4*off)*math.Sin(2*math.Pi*55*t)
		chord := 0.12 * math.Exp(-2*math.Mod(t, 2*beat)) * (math.Sin(2*math.Pi*220*t) + math.Sin(2*math.Pi*262*t) + math.Sin(2*math.Pi*330*t))
		hat := 0.1 * math.Exp(-45*off)
		for ch := range c.channels {
			v := middle + chord*[]float64{1, 0.4}[ch]
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(32767*max(-1, min(1, 0.97*math.Tanh(gain*v)+hat*r.NormFloat64()))))))
		}
	}
	return b
}
