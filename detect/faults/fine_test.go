package faults

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"
)

// steady is a loop of two bars at 126 BPM, six times: the same kick and hats
// whatever the notes, so that all of them have one tempo, one length and nearly one
// course of levels. notes are the semitones of the bass above 41 Hz, a sixteenth
// each, -1 being a rest.
func steady(notes [32]int) [][]float32 {
	const rate, step = 44100, 5250
	loop := make([]float64, 32*step)
	rng := rand.New(rand.NewPCG(6, 6))
	for k, note := range notes {
		for i := range 2 * step {
			s := float64(i) / rate
			at := (k*step + i) % len(loop)
			if k%4 == 0 {
				loop[at] += 0.5 * math.Min(1, s/0.002) * math.Exp(-s/0.1) * math.Sin(2*math.Pi*(50*s+6*(1-math.Exp(-s/0.02))))
			}
			if k%4 == 2 {
				loop[at] += 0.1 * math.Exp(-s/0.02) * rng.NormFloat64()
			}
			if note >= 0 && i < step {
				env := math.Min(1, math.Min(s/0.004, (float64(step)/rate-s)/0.01))
				w := 2 * math.Pi * 41 * math.Pow(2, float64(note)/12) * s
				loop[at] += 0.25 * env * (math.Sin(w) + 0.4*math.Sin(2*w) + 0.2*math.Sin(8*w))
			}
		}
	}
	out := [][]float32{make([]float32, 6*len(loop)), make([]float32, 6*len(loop))}
	for i := range out[0] {
		v := float32(loop[i%len(loop)])
		out[0][i], out[1][i] = v, v+float32(0.002*rng.NormFloat64())
	}
	return quantise(out, rng)
}

// riff is a bass line: a pattern of rests and notes up from a root.
func riff(root int, pattern ...int) (notes [32]int) {
	for i := range notes {
		if notes[i] = pattern[i%len(pattern)]; notes[i] >= 0 {
			notes[i] += root
		}
	}
	return notes
}

// Loops of one style, tempo and length, ten pairs, are told apart; each is the same
// through codecs.
func TestSameAudioOfSteadyTracks(t *testing.T) {
	tracks := [][32]int{
		riff(0, -1, 0, 0, 3),
		riff(1, -1, 0, 0, 3), // a semitone up
		riff(5, -1, 0, 0, 3),
		riff(0, -1, 0, 3, 0), // the same notes in another order
		riff(0, -1, 0, 0, 5), // another note in four
	}
	var prints []string
	coarse := 0
	for i, notes := range tracks {
		x := steady(notes)
		own := printOf(x)
		for j, other := range prints {
			p, _ := parsePrint(own)
			q, _ := parsePrint(other)
			t.Logf("%d and %d: correlation %.3f", j, i, bestCorrelation(waveOf(p.fine), waveOf(q.fine)))
			if sameAudio(own, other) {
				t.Errorf("tracks %d and %d are the same audio", j, i)
			}
			if p.fine, q.fine = "", ""; p.same(&q) {
				coarse++
			}
		}
		prints = append(prints, own)
		if i != 0 {
			continue
		}
		path := filepath.Join(t.TempDir(), fmt.Sprintf("%d.wav", i))
		writeWAV(t, path, 44100, x)
		for _, s := range []string{"mp3-128", "aac-128"} {
			if !sameAudio(own, printOf(lossy(t, path, s))) {
				t.Errorf("track %d through %s is other audio", i, s)
			}
		}
	}
	if coarse == 0 {
		t.Error("the levels alone tell all apart: this tests nothing")
	}
}

// A lag of half a sample, either polarity and a gain are the same waveform.
func TestBestCorrelation(t *testing.T) {
	wave := func(shift, gain float64) []int32 {
		x := make([]int32, 2*fineSamples)
		for i := range x {
			s := (float64(i) + shift) / fineRate
			x[i] = int32(math.Round(gain * (14*math.Sin(2*math.Pi*41*s+3*math.Sin(7*s)) + 6*math.Sin(2*math.Pi*67*s))))
		}
		return x
	}
	for _, tt := range []struct{ shift, gain float64 }{{0, 1}, {0.5, 1}, {-7.5, 1}, {3, -1}, {20.3, 1.3}} {
		if c := bestCorrelation(wave(0, 1), wave(tt.shift, tt.gain)); c < 0.98 {
			t.Errorf("shift %g, gain %g: correlation %.3f", tt.shift, tt.gain, c)
		}
	}
}
