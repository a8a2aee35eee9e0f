package mp3

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"strings"
	"testing"

	gomp3 "github.com/hajimehoshi/go-mp3"
)

// The bounds of ISO/IEC 11172-4, clause 2.6, for a decoder of full accuracy,
// full scale being 1.
var (
	fullAccuracyRMS = math.Exp2(-15) / math.Sqrt(12)
	fullAccuracyMax = math.Exp2(-14)
)

// difference returns the RMS and the largest difference of two decodings, over the
// length of the shorter one.
func difference(a, b [][]float32) (rms, largest float64) {
	n := 0
	for ch := range a {
		for i := range min(len(a[ch]), len(b[ch])) {
			d := math.Abs(float64(a[ch][i]) - float64(b[ch][i]))
			rms += d * d
			largest = max(largest, d)
			n++
		}
	}
	return math.Sqrt(rms / float64(max(n, 1))), largest
}

// checkAccuracy compares a decoding with that of mpg123, in length too.
func checkAccuracy(t *testing.T, path string) {
	t.Helper()
	checkAgainst(t, path, mpg123)
}

// checkAgainst compares a decoding with that of another program.
func checkAgainst(t *testing.T, path string, other func(t testing.TB, path string, channels int) [][]float32) {
	t.Helper()
	got, s := ours(t, readFile(t, path))
	want := other(t, path, len(got))
	if len(got[0]) != len(want[0]) {
		t.Errorf("%d samples, the other decoder has %d", len(got[0]), len(want[0]))
	}
	if len(want[0]) == 0 {
		t.Fatal("the other decoder made nothing")
	}
	rms, largest := difference(got, want)
	if !(rms < fullAccuracyRMS && largest <= fullAccuracyMax) {
		t.Errorf("RMS difference %.3g, largest %.3g; full accuracy is %.3g and %.3g", rms, largest, fullAccuracyRMS, fullAccuracyMax)
	}
	if f := s.Faults(); len(f) != 0 {
		t.Errorf("faults in a sound file: %v", f)
	}
}

type encoding struct {
	rate, channels int
	args           string
	always         bool // not only in a full run
}

// lameEncodings are settings of lame, for all rates of all three versions. Those of
// 64 to 128 kbit/s in joint stereo switch to short blocks and mid/side on
// castanets.
func lameEncodings() (all []encoding) {
	for _, rate := range []int{32000, 44100, 48000} {
		for _, a := range []string{"-b 64 -m j", "-b 96 -m j", "-b 128 -m j", "-b 320 -m s", "-V 0", "-V 4", "-V 9", "--abr 160"} {
			all = append(all, encoding{rate, 2, a, false})
		}
		all = append(all, encoding{rate, 1, "-b 32 -m m", false})
	}
	for _, rate := range []int{16000, 22050, 24000, 8000, 11025, 12000} {
		for _, a := range []string{"-b 32 -m j", "-b 64 -m j", "-b 64 -m s", "-V 3"} {
			all = append(all, encoding{rate, 2, a, false})
		}
		all = append(all, encoding{rate, 1, "-b 16 -m m", false})
	}
	for v := range 10 {
		all = append(all, encoding{44100, 2, fmt.Sprintf("-V %d", v), false})
	}
	for _, b := range []int{32, 40, 48, 56, 80, 112, 160, 192, 224, 256} {
		all = append(all, encoding{44100, 2, fmt.Sprintf("-b %d", b), false})
	}
	for _, a := range []string{
		"-b 128 -p", "-b 64 -p -m j", "-V 2 -p", // CRC
		"-b 128 --nores", "-b 64 --nores -m j", // no bit reservoir
		"-b 128 -m d", "-b 192 -m f", // dual channel, forced mid/side
		"-b 128 --freeformat", "-b 250 --freeformat", "-b 400 --freeformat", "-b 640 --freeformat",
		"-b 128 -m s --allshort", "-b 128 -m j --short", "-b 128 --noshort", // block types
		"-b 128 -t", "-V 2 -t", // no Xing frame
		"-b 320 --strictly-enforce-ISO", "-b 128 --scale 2.5", // far above full scale
	} {
		all = append(all, encoding{44100, 2, a, true})
	}
	return all
}

// shortMaterial is the length of most test files in seconds.
const shortMaterial = 2

// encodingStride shares no factor with the 9 encodings of each rate of MPEG-1 and the
// 5 of each other rate: the sample has other settings at each rate.
const encodingStride = 4

// Full accuracy against mpg123, on files made with lame: in a full run of castanets
// and of one of the others in turn, otherwise a sample of the encodings with one
// signal each.
func TestAccuracyLame(t *testing.T) {
	names := []string{"castanets", "master", "chords", "sweep", "noise"}
	full := seeds(t) >= fullRun
	for i, e := range lameEncodings() {
		if !e.always && !inSample(t, i, encodingStride) {
			continue
		}
		these := []string{names[0], names[1+i%(len(names)-1)]}
		if !full {
			these = names[i%len(names):][:1]
		}
		for _, name := range these {
			t.Run(fmt.Sprintf("%s %d %s", name, e.rate, e.args), func(t *testing.T) {
				t.Parallel()
				wav := wavFile(t, name, shortMaterial*e.rate, e.rate, e.channels)
				checkAccuracy(t, encode(t, wav, strings.Fields(e.args)...))
			})
		}
	}
}

// The same on files made with ffmpeg, which writes another frame in front, and none
// in a stream that it can't seek in.
func TestAccuracyFFmpeg(t *testing.T) {
	for _, args := range []string{
		"-b:a 128k", "-b:a 320k", "-q:a 0", "-q:a 5", "-b:a 64k -joint_stereo 0", "-b:a 96k -reservoir 0",
		"-b:a 32k -ar 22050", "-b:a 24k -ar 16000 -ac 1", "-b:a 160k -abr 1", "-b:a 128k -write_xing 0",
	} {
		t.Run(args, func(t *testing.T) {
			wav := wavFile(t, "master", shortMaterial*44100, 44100, 2)
			out := filepath.Join(t.TempDir(), "out.mp3")
			a := append([]string{"-v", "error", "-i", wav, "-c:a", "libmp3lame"}, strings.Fields(args)...)
			run(t, "ffmpeg", append(a, out)...)
			checkAccuracy(t, out)
		})
	}
}

// goMP3Delay is what go-mp3 plays more than we do at the start: the Xing frame,
// lame's delay and the filter banks'.
const goMP3Delay = 1152 + 576 + filterDelay

// goMP3Tolerance is that of go-mp3's 16 bit output, which it truncates.
const goMP3Tolerance = 1.5 / 32768

// Agreement with go-mp3, an independent decoder, on what it handles: MPEG-1 without
// mid/side, where it leaves lines out, and no peak above full scale.
func TestAgreesWithGoMP3(t *testing.T) {
	for _, args := range []string{"-b 128 -m s", "-b 320 -m s", "-b 192 -m d", "-V 2 -m s"} {
		t.Run(args, func(t *testing.T) {
			wav := wavFile(t, "chords", shortMaterial*44100, 44100, 2)
			data := readFile(t, encode(t, wav, append(strings.Fields(args), "--scale", "0.5")...))
			d, err := gomp3.NewDecoder(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			pcm, err := io.ReadAll(d)
			if err != nil {
				t.Fatal(err)
			}
			got, _ := ours(t, data)
			if len(pcm)/4 < goMP3Delay+len(got[0]) {
				t.Fatalf("go-mp3 has %d samples, want at least %d", len(pcm)/4, goMP3Delay+len(got[0]))
			}
			for i := range got[0] {
				for ch := range got {
					at := 4*(i+goMP3Delay) + 2*ch
					want := float64(int16(uint16(pcm[at])|uint16(pcm[at+1])<<8)) / 32768
					if math.Abs(float64(got[ch][i])-want) > goMP3Tolerance {
						t.Fatalf("sample %d, channel %d: %v, go-mp3 has %v", i, ch, got[ch][i], want)
					}
				}
			}
		})
	}
}
