package key

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"dubgauge/decode"
	"dubgauge/decode/need"
)

// mirex is the score of a key estimate by the rules of MIREX since 2017: 1 for
// the key, 0.5 for a fifth either way, 0.3 for the relative and 0.2 for the
// parallel key (mir_eval.key.weighted_score with descending fifths allowed).
func mirex(got, want Key) float64 {
	return map[Relation]float64{Same: 1, FifthUp: 0.5, FifthDown: 0.5, Relative: 0.3, Parallel: 0.2}[Relate(want, got)]
}

// track is decoded music.
type track struct {
	name    string
	rate    int
	samples [][]float32
	key     Key // NoKey where none is stated
}

// listenAt measures a track as if it had the given rate.
func (tr *track) listenAt(rate int) *Meter {
	m := New(rate, len(tr.samples))
	block := make([][]float32, len(tr.samples))
	for from := 0; from < len(tr.samples[0]); from += 8192 {
		for c, s := range tr.samples {
			block[c] = s[from:min(from+8192, len(s))]
		}
		m.Write(block)
	}
	return m
}

// decodeFile reads a whole file.
func decodeFile(t *testing.T, path string) *track {
	t.Helper()
	s, err := decode.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	tr := &track{name: filepath.Base(path), rate: s.Info().SampleRate, samples: make([][]float32, s.Info().Channels)}
	block := make([][]float32, len(tr.samples))
	for c := range block {
		block[c] = make([]float32, 8192)
	}
	for {
		n, err := s.Read(block)
		for c := range block {
			tr.samples[c] = append(tr.samples[c], block[c][:n]...)
		}
		if errors.Is(err, io.EOF) {
			return tr
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// developmentSet decodes the pieces of the checks folder that DUBGAUGE_CHECKS
// names, all or those alone that have a key.
func developmentSet(t *testing.T, keyed bool) (set []*track) {
	t.Helper()
	root := need.Checks(t)
	f, err := os.Open(filepath.Join(root, "music", "truth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if row[2] == "" && keyed {
			continue
		}
		tr := decodeFile(t, filepath.Join(root, "music", row[0]))
		tr.key = NoKey
		if row[2] != "" {
			tr.key = mustParse(t, row[2])
		}
		set = append(set, tr)
	}
	return set
}

// The development set is measured as it is and at four speeds, at ten with DUBGAUGE_FULL. Telling the
// meter another rate is what resampling does: the same samples, played at
// rate r 2^(k/12), sound k semitones higher and faster by the same factor.
// TestRateIsSpeed checks that against a resampler.
func TestDevelopmentSet(t *testing.T) {
	const (
		leastScore  = 0.85 // MIREX score of the pieces as they are
		leastFollow = 0.90 // share of transpositions whose key moves along
	)
	pitches := []int{-5, -2, 1, 4}
	if fullTable {
		pitches = []int{-5, -4, -3, -2, -1, 1, 2, 3, 4, 5}
	}
	sum, n, follow, turns := 0.0, 0.0, 0.0, 0.0
	for _, tr := range developmentSet(t, true) {
		r := tr.listenAt(tr.rate).Result()
		sum += mirex(r.Key, tr.key)
		n++
		moved := 0
		for _, k := range pitches {
			got := tr.listenAt(int(math.Round(float64(tr.rate) * math.Exp2(float64(k)/12)))).Result()
			turns++
			if got.Exists() && got.Mode == r.Mode && got.Tonic == (r.Tonic+k+12)%12 {
				moved++
			}
		}
		follow += float64(moved)
		t.Logf("%s: stated %-8v found %-8v (runner-up %-8v) confidence %.2f, agreement %.2f, tuning %+.0f cents; follows %d of %d transpositions",
			tr.name, tr.key, r.Key, r.RunnerUp, r.Confidence, r.Agreement, r.TuningCents, moved, len(pitches))
	}
	t.Logf("MIREX score %.3f of %.0f pieces; the key follows %.1f %% of transpositions", sum/n, n, 100*follow/turns)
	if sum/n < leastScore {
		t.Errorf("MIREX score %.3f, want %.2f", sum/n, leastScore)
	}
	if follow/turns < leastFollow {
		t.Errorf("the key follows %.1f %% of transpositions, want %.0f %%", 100*follow/turns, 100*leastFollow)
	}
}

// writeRaw writes mono samples as 16 bits, little-endian.
func writeRaw(t *testing.T, x []float32) (path string) {
	t.Helper()
	b := make([]byte, 0, 2*len(x))
	for _, v := range x {
		s := int16(math.Round(float64(v) * 32767))
		b = append(b, byte(s), byte(s>>8))
	}
	path = filepath.Join(t.TempDir(), "tune.raw")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func run(t *testing.T, name string, args ...string) {
	t.Helper()
	if out, err := exec.Command(name, args...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
}

func TestRateIsSpeed(t *testing.T) {
	need.Program(t, "sox")
	x := chordTune().render(44100)
	raw := writeRaw(t, x)
	for _, k := range []int{-5, 3, 5} {
		told := New(int(math.Round(44100*math.Exp2(float64(k)/12))), 1)
		told.Write([][]float32{x})
		wav := filepath.Join(t.TempDir(), "speed.wav")
		run(t, "sox", "-t", "raw", "-r", "44100", "-e", "signed", "-b", "16", "-c", "1", raw, wav,
			"speed", fmt.Sprint(math.Exp2(float64(k)/12)), "rate", "-h", "44100")
		tr := decodeFile(t, wav)
		a, b := told.Result(), tr.listenAt(tr.rate).Result()
		if want := (Key{(9 + k + 12) % 12, Minor}); a.Key != want || b.Key != want {
			t.Errorf("%+d semitones: told the rate %v, resampled %v, want %v", k, a.Key, b.Key, want)
		}
		const close = 2 // cents: the two are analysed at different rates
		if math.Abs(a.TuningCents-b.TuningCents) > close {
			t.Errorf("%+d semitones: tuning %.1f and %.1f cents", k, a.TuningCents, b.TuningCents)
		}
	}
}

// chordTune is a loop in A minor with drums.
func chordTune() tune {
	l := chordLoops[5]
	return tune{bpm: 126, timbre: saw, up: -3, notes: l.notes, beats: l.beats, seconds: 16, drums: fourOnTheFloor(4)}
}

func TestMP3AndWAVAgree(t *testing.T) {
	need.Program(t, "ffmpeg")
	dir := t.TempDir()
	for tb, name := range timbreNames {
		tn := chordTune()
		tn.timbre = timbre(tb)
		raw := writeRaw(t, tn.render(44100))
		in := []string{"-v", "error", "-y", "-f", "s16le", "-ar", "44100", "-ac", "1", "-i", raw}
		wav, mp3 := filepath.Join(dir, name+".wav"), filepath.Join(dir, name+".mp3")
		run(t, "ffmpeg", append(in, wav, "-b:a", "128k", mp3)...)
		a, b := decodeFile(t, wav), decodeFile(t, mp3)
		x, y := a.listenAt(a.rate).Result(), b.listenAt(b.rate).Result()
		if want := (Key{9, Minor}); x.Key != want || y.Key != want {
			t.Errorf("%s: WAV %v, MP3 %v, want %v", name, x.Key, y.Key, want)
		}
		const close = 1.5 // cents
		if math.Abs(x.TuningCents-y.TuningCents) > close {
			t.Errorf("%s: tuning %.1f and %.1f cents", name, x.TuningCents, y.TuningCents)
		}
	}
}
