package studio

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect/truepeak"
)

// hash sums up samples bit by bit.
func hash(a sound.Audio) (sum [32]byte) {
	h := sha256.New()
	a.Both(func(x []float64) { binary.Write(h, binary.LittleEndian, x) })
	h.Sum(sum[:0])
	return sum
}

// TestComposeStaysInItsGenre draws many songs: tempo and root lie in the genre's
// range, no two are the same, and the drop is long enough to be the part that is
// mixed into.
func TestComposeStaysInItsGenre(t *testing.T) {
	for _, g := range Genres {
		type face struct{ bpm, root, tone, kick float64 }
		seen := map[face]bool{}
		for seed := range uint64(60) {
			s := Compose(g, seed)
			if s.BPM < g.BPM[0] || s.BPM > g.BPM[1] || s.Root < g.Root[0] || s.Root > g.Root[1] {
				t.Errorf("%s %d: %.1f BPM, root %.1f Hz", g.Name, seed, s.BPM, s.Root)
			}
			f := face{s.BPM, s.Root, s.bassTone, s.kickTail}
			if seen[f] {
				t.Errorf("%s %d is a song that was there already", g.Name, seed)
			}
			seen[f] = true
			if seconds := float64(s.Samples()) / sound.Rate; seconds < 60 || seconds > 150 {
				t.Errorf("%s %d: %.0f s, the bench asks for 60 to 150", g.Name, seed, seconds)
			}
			if d := s.Section(Drop); float64(d.Bars)*s.barSeconds() < 17 {
				t.Errorf("%s %d: a drop of %d bars", g.Name, seed, d.Bars)
			}
		}
	}
}

// TestSectionsJoin checks that the arrangement has no gap and that bars are as
// long as the tempo says: at 120 BPM four beats take 2 s, 88200 samples.
func TestSectionsJoin(t *testing.T) {
	s := Compose(&house, 4)
	bar := 0
	for _, x := range s.Sections {
		if x.Bar != bar || x.Bars%2 != 0 {
			t.Errorf("%s begins at bar %d with %d bars, want bar %d and whole pairs", x.Kind, x.Bar, x.Bars, bar)
		}
		bar += x.Bars
	}
	s.BPM, s.Swing = 120, 0.5
	if got := s.BarStart(1); got != 2*sound.Rate {
		t.Errorf("bar 1 at sample %d, want %d", got, 2*sound.Rate)
	}
	// A sixteenth at 120 BPM is 0.125 s; the odd ones come half of that later.
	if a, b := s.stepStart(0, 2), s.stepStart(0, 3); a != 11025 || b != 19294 {
		t.Errorf("steps 2 and 3 at %d and %d, want 11025 and 19294", a, b)
	}
}

// TestSameSeedSameSamples is what the cache of measurements rests on. The master
// must have the loudness that was asked for (0.4 LU: the drive is found on an
// excerpt) and keep its true peak at the ceiling (0.15 dB: two interpolators).
func TestSameSeedSameSamples(t *testing.T) {
	if testing.Short() {
		t.Skip("renders three songs; run without -short")
	}
	t.Parallel()
	one, two := Compose(&techno, 5).Piece(), Compose(&techno, 5).Piece()
	if hash(one.Mix) != hash(two.Mix) {
		t.Error("the same seed gave other samples")
	}
	if other := Compose(&techno, 6).Piece(); hash(one.Mix) == hash(other.Mix) {
		t.Error("another seed gave the same samples")
	}
	before := hash(one.Mix)
	m := one.Master()
	if hash(one.Mix) != before {
		t.Error("mastering changed the mix")
	}
	want := DefaultChain.LUFS + one.Offset
	if got := Loudness(m).Integrated; math.Abs(got-want) > 0.4 {
		t.Errorf("master at %.2f LUFS, want %.2f", got, want)
	}
	peak := truepeak.New(sound.Rate, 2)
	m.Blocks(peak.Write)
	if got := peak.Result().TruePeak; math.Abs(got-DefaultChain.Ceiling) > 0.15 {
		t.Errorf("true peak %.2f dBTP, ceiling %.2f", got, DefaultChain.Ceiling)
	}
}

// TestLoudnessOffsetsSpread checks the standard deviation of what masters are
// asked for, 0.7 LU: with 540 draws its own standard error is 0.02.
func TestLoudnessOffsetsSpread(t *testing.T) {
	sum, n := 0.0, 0.0
	for _, g := range Genres {
		for seed := range uint64(60) {
			x := Compose(g, seed).LoudnessOffset
			sum, n = sum+x*x, n+1
		}
	}
	if sd := math.Sqrt(sum / n); math.Abs(sd-0.7) > 0.08 {
		t.Errorf("loudness is spread by %.2f LU, want 0.7", sd)
	}
}
