package render

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"

	"dubgauge/decode/need"
	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// groove is a kick with a peak that stands out, a bass and noise.
func groove(rate int, seconds, level float64) []float64 {
	r := rand.New(rand.NewPCG(9, 9))
	x := make([]float64, int(seconds*float64(rate)))
	for i := range x {
		t := float64(i) / float64(rate)
		in := math.Mod(t, 0.5)
		x[i] = level * (0.6*math.Exp(-in*20)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + 0.25*math.Sin(2*math.Pi*55*t) + 0.05*r.NormFloat64())
		x[i] *= min(1, (seconds-t)/0.1)
	}
	return x
}

// source writes a WAV file of 24 bits.
func source(t *testing.T, path string, rate int, channels ...[]float64) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	e := wav.NewEncoder(f, rate, 24, len(channels), 1)
	var data []int
	for i := range channels[0] {
		for _, x := range channels {
			data = append(data, int(math.Round(max(-1, min(x[i], 1-1.0/fullScale))*fullScale)))
		}
	}
	if err := errors.Join(e.Write(&audio.IntBuffer{Format: &audio.Format{NumChannels: len(channels), SampleRate: rate}, Data: data, SourceBitDepth: 24}), e.Close()); err != nil {
		t.Fatal(err)
	}
}

// judged measures the file and holds it against references at a level.
func judged(t *testing.T, dir, name string, target float64) *library.Track {
	t.Helper()
	r, err := library.Measure(t.Context(), filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	r.Path = name
	x := &library.Track{ID: 1, Root: dir, Record: r}
	var pool []standout.Track
	for i := range 9 {
		none := detect.None
		pool = append(pool, standout.Track{ID: int64(10 + i), Reference: true, BPM: none, Level: detect.Value(target), LowEnd: none, Sub: none, Bass: none,
			Mono: none, True: none, DriftPercent: none, ChangeAtS: none, ChangeFrom: none, ChangeTo: none, DurationS: 300, Balance: detect.Empty().Balance})
	}
	x.Judgement = standout.New(pool, standout.Options{}).Judge(standout.Of(1, &r.Measurement, nil))
	if x.Reference.LUFS != detect.Value(target) {
		t.Fatalf("held against %v, want %v", x.Reference.LUFS, target)
	}
	return x
}

// played is the level of groove at level 1, so that targets can be named.
func played(t *testing.T, dir, name string) float64 {
	r, err := library.Measure(t.Context(), filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return float64(r.PlayedLUFS())
}

var plain = Options{Format: WAV, Ceiling: standout.DefaultCeiling}

func options(f Format, limit bool) Options {
	return Options{Format: f, Ceiling: plain.Ceiling, Limit: limit}
}

// TestCopyReachesItsTarget: the copy, measured like any file, lies at its target within
// 0.05 LU and under the ceiling, keeps rate, channels and length; the source is as it was.
func TestCopyReachesItsTarget(t *testing.T) {
	for _, c := range []struct {
		name           string
		rate, channels int
		level, dB      float64 // of the source, and of the target over it
		o              Options
		limited        bool
		missing        bool
	}{
		{"down", 44100, 2, 1, -3.33, options(WAV, false), false, false},
		{"up", 48000, 2, 0.3, 4.27, options(FLAC, false), false, false},
		{"up, as far as the peaks allow", 44100, 2, 0.8, 4.5, options(WAV, false), false, true},
		{"limited", 44100, 2, 0.9, 4.21, options(WAV, true), true, false},
		{"limited, one channel, FLAC", 48000, 1, 0.9, 3.37, options(FLAC, true), true, false},
		{"limited, 88.2 kHz", 88200, 2, 0.9, 2, options(WAV, true), true, false},
		{"a limiter that is not needed", 44100, 1, 0.4, 1.5, options(WAV, true), false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, to := t.TempDir(), t.TempDir()
			x := groove(c.rate, 6.01, c.level)
			source(t, filepath.Join(dir, "a.wav"), c.rate, [][]float64{x, x}[:c.channels]...)
			before, _ := os.ReadFile(filepath.Join(dir, "a.wav"))
			target := played(t, dir, "a.wav") + c.dB
			track := judged(t, dir, "a.wav", target)
			done, err := Copy(t.Context(), track, to, c.o, nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			if after, _ := os.ReadFile(filepath.Join(dir, "a.wav")); string(after) != string(before) {
				t.Error("the source was changed")
			}
			got, err := library.Measure(t.Context(), done.Copy)
			if err != nil || got.Error != nil {
				t.Fatalf("the copy: %v, %v", got.Error, err)
			}
			f := &got.Measurement.File
			if *f.BitDepth != 24 || f.Channels != c.channels || f.SampleRateHz != c.rate || f.DurationS != track.Measurement.File.DurationS || f.Format != string(c.o.Format) {
				t.Errorf("the copy is %+v of %d bits", *f, *f.BitDepth)
			}
			missing := 0.0
			if c.missing {
				missing = c.dB - (plain.Ceiling - float64(track.Peak.TruePeakDBTP))
			}
			if miss := float64(got.PlayedLUFS()) - (target - missing); math.Abs(miss) > 0.05 || (c.limited && math.Abs(miss) > 0.02) {
				t.Errorf("%.3f LUFS, want %.3f", got.PlayedLUFS(), target-missing)
			}
			if p := float64(got.Peak.TruePeakDBTP); p > plain.Ceiling+0.005 || (c.limited && p < plain.Ceiling-0.1) {
				t.Errorf("true peak %.3f dBTP", p)
			}
			if math.Abs(float64(done.MissingDB)-missing) > 0.002 || (done.Limited != nil) != c.limited {
				t.Errorf("missing %v, want %.2f; limited %+v", done.MissingDB, missing, done.Limited)
			}
			if done.After.LUFS != detect.Value(math.Round(float64(done.After.LUFS)*1e9)/1e9) && math.Abs(float64(done.After.LUFS-got.PlayedLUFS())) > 0.001 {
				t.Errorf("the note says %v, the copy has %v", done.After.LUFS, got.PlayedLUFS())
			}
			if c.limited {
				holdAgainstForecast(t, track, &done)
			}
		})
	}
}

// An hour of stereo at 44.1 kHz and 24 bit has 952,560,000 bytes.
func TestDataBytes(t *testing.T) {
	if got := dataBytes(44100, 2, 3600); got != 952560000 {
		t.Errorf("%g", got)
	}
}

// holdAgainstForecast: what the limiter did is what the trim sheet said.
func holdAgainstForecast(t *testing.T, x *library.Track, d *Done) {
	t.Helper()
	if math.Abs(float64(d.Limited.MaxDB-x.Trim.LimitingDB)) > 0.3 || math.Abs(float64(d.Limited.P95DB-x.Trim.LimitingP95DB)) > 0.3 ||
		math.Abs(float64(d.Limited.Over2-x.Trim.LimitingOver2)) > 0.05 || d.Limited.MaxDB < 1 {
		t.Errorf("the limiter took %+v, the sheet says %+v", *d.Limited, x.Trim)
	}
	if d.GainDB <= d.TrimDB {
		t.Errorf("%v dB of gain for a trim of %v: limiting costs nothing", d.GainDB, d.TrimDB)
	}
}

// samples decodes a file through the library, as it is judged.
func samples(t *testing.T, path string) [][]float32 {
	t.Helper()
	x := library.Track{Root: filepath.Dir(path), Record: library.Record{Path: filepath.Base(path)}}
	s, err := x.Audio(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	out := make([][]float32, s.Info().Channels)
	if _, err := read(t.Context(), s, len(out), func(block [][]float32, _ int64) error {
		for c := range block {
			out[c] = append(out[c], block[c]...)
		}
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return out
}

// TestDitherNoise: what a copy adds to its source is noise of a quarter of a step squared
// (triangular dither of one step either way and the rounding; Lipshitz, Wannamaker and
// Vanderkooy 1992): -144.5 dBFS, within 1 dB, on the mean nothing, and alike wherever the signal is.
func TestDitherNoise(t *testing.T) {
	for _, f := range []Format{WAV, FLAC} {
		dir, to := t.TempDir(), t.TempDir()
		x := groove(44100, 5, 0.3)
		source(t, dir+"/a.wav", 44100, x)
		track := judged(t, dir, "a.wav", played(t, dir, "a.wav")-2.5)
		done, err := Copy(t.Context(), track, to, options(f, false), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		in, out := samples(t, dir+"/a.wav")[0], samples(t, done.Copy)[0]
		var sum, square, with, power float64
		factor := math.Pow(10, float64(done.GainDB)/20)
		for i := range in {
			want := float64(in[i]) * factor
			e := float64(out[i]) - want
			sum += e
			square += e * e
			with += e * want
			power += want * want
		}
		n := float64(len(in))
		if got := 10 * math.Log10(square/n); math.Abs(got+144.49) > 1 {
			t.Errorf("%s: noise at %.2f dBFS, want -144.49", f, got)
		}
		if mean := sum / n * fullScale; math.Abs(mean) > 0.01 {
			t.Errorf("%s: the noise is off by %.4f steps", f, mean)
		}
		if r := with / math.Sqrt(square*power); math.Abs(r) > 0.02 {
			t.Errorf("%s: the noise goes with the signal: %.3f", f, r)
		}
	}
}

// TestNothingToDoChangesNothing: a track at its target is copied bit for bit.
func TestNothingToDoChangesNothing(t *testing.T) {
	for _, f := range []Format{WAV, FLAC} {
		dir, to := t.TempDir(), t.TempDir()
		source(t, dir+"/a.wav", 44100, groove(44100, 3.0001, 0.5), groove(44100, 3.0001, 0.4))
		track := judged(t, dir, "a.wav", played(t, dir, "a.wav")+0.02)
		done, err := Copy(t.Context(), track, to, options(f, true), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		in, out := samples(t, dir+"/a.wav"), samples(t, done.Copy)
		for c := range in {
			if fmt.Sprint(in[c]) != fmt.Sprint(out[c]) {
				t.Errorf("%s: channel %d differs", f, c)
			}
		}
	}
}

// TestTagsSurvive: all that the library knows of a track is in its copy, read by our own
// reader and, title and artist, by ffprobe.
func TestTagsSurvive(t *testing.T) {
	dir := t.TempDir()
	source(t, dir+"/a.wav", 44100, groove(44100, 3, 0.5)[:3*44100-1]) // an odd length
	track := judged(t, dir, "a.wav", played(t, dir, "a.wav")-2)
	bpm := 127.5
	g := &track.Tags
	g.Title, g.Artist, g.Album, g.Label, g.CatalogueNumber = "Nébula, part 2", "Gull & Öre", "Low Water", "Invented Records", "INV 012"
	g.ISRC, g.Year, g.Genre, g.Comment, g.BPM, g.Key = "QZABC2600001", 2026, "House", "from the desk", &bpm, "Am"
	for _, f := range []Format{WAV, FLAC} {
		done, err := Copy(t.Context(), track, t.TempDir(), options(f, false), nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		r, err := library.Measure(t.Context(), done.Copy)
		if err != nil || r.Error != nil {
			t.Fatalf("%v, %v", r.Error, err)
		}
		r.Tags.Sources = nil
		got, _ := json.Marshal(r.Tags)
		if want, _ := json.Marshal(g); string(got) != string(want) {
			t.Errorf("%s:\n got %s\nwant %s", f, got, want)
		}
		probe := need.Program(t, "ffprobe")
		out, err := exec.Command(probe, "-v", "error", "-show_entries", "format_tags=title,artist", "-of", "csv=p=0", done.Copy).Output()
		if err != nil || !strings.Contains(string(out), g.Title) || !strings.Contains(string(out), g.Artist) {
			t.Errorf("%s: ffprobe says %q, error %v", f, out, err)
		}
	}
}

// TestFLACIsSound has the reference decoder check frames and checksum.
func TestFLACIsSound(t *testing.T) {
	program := need.Program(t, "flac")
	dir := t.TempDir()
	source(t, dir+"/a.wav", 44100, groove(44100, 3, 0.5), groove(44100, 3, 0.3))
	done, err := Copy(t.Context(), judged(t, dir, "a.wav", played(t, dir, "a.wav")-1), dir, options(FLAC, false), nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(program, "-t", "-w", done.Copy).CombinedOutput(); err != nil {
		t.Errorf("%v: %s", err, out)
	}
}
