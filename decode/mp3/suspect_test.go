package mp3

import (
	"errors"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Level alone mutes nothing: music that starts out of near silence is decoded as mpg123
// decodes it. Behind junk, where a rule of the format was broken, such a start is not
// believed at once, and is named; a hundred milliseconds later it is.
func TestLevelAloneMutesNothing(t *testing.T) {
	quiet := readFile(t, encode(t, wavFile(t, "chords", 44100, 44100, 2), "-b", "128", "--nores", "-t", "--scale", "0.0005"))
	loud := readFile(t, encode(t, wavFile(t, "master", 44100, 44100, 2), "-b", "128", "--nores", "-t"))
	path := filepath.Join(t.TempDir(), "start.mp3")
	if err := os.WriteFile(path, join(quiet, loud), 0o600); err != nil {
		t.Fatal(err)
	}
	checkAccuracy(t, path)

	junk := randomBytes(rand.New(rand.NewPCG(1, 1)), 700)
	got, s := ours(t, join(quiet, junk, loud))
	muted := 0
	for _, f := range s.Faults() {
		if strings.Contains(f.Detail, errLevel.Error()) {
			muted++
		}
	}
	if muted == 0 {
		t.Errorf("a start behind junk is believed at once: %v", s.Faults())
	}
	alone, _ := ours(t, loud)
	const last = 20000
	tail := func(x [][]float32) [][]float32 { return [][]float32{x[0][len(x[0])-last:], x[1][len(x[1])-last:]} }
	if _, largest := difference(tail(got), tail(alone)); largest > sameTolerance {
		t.Errorf("half a second behind the junk samples are off by %v", largest)
	}
}

// The judgement of a granule, one by one.
func TestSuspectLevels(t *testing.T) {
	const quiet, normal = 1e-4, 0.1
	for _, c := range []struct {
		name    string
		wounded int // granules before the one that is judged, -1 for never
		energy  float32
		want    error
	}{
		{"loud without damage", -1, 1e6, nil},
		{"as loud as before, right behind damage", 0, normal, nil},
		{"5 dB louder", 0, normal * 3.2, nil},
		{"7 dB louder", 0, normal * 5, errLevel},
		{"7 dB louder, the last granule on alert", alertGranules - 1, normal * 5, errLevel},
		{"7 dB louder, a granule later", alertGranules, normal * 5, nil},
	} {
		var s suspect
		for range 100 {
			if err := s.check(0, true, normal); err != nil {
				t.Fatal(err)
			}
		}
		if c.wounded >= 0 {
			s.wounded()
		}
		for range c.wounded {
			s.check(0, true, normal)
		}
		if err := s.check(0, true, c.energy); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	// Where nothing was heard before, what no recording has is not believed: 12 dB over a
	// sine at full scale; in a quiet part of a loud track neither are 6 dB more than the
	// part, or than 24 dB under the track.
	for _, c := range []struct {
		name         string
		loud, quiet  float32
		energy, more float32 // the highest that passes and one that does not
	}{
		{"nothing before", 0, 0, 15.8, 16.2},
		{"a quiet part 40 dB down", 1, quiet, 4 * 0.99 / 256, 4 * 1.01 / 256},
		{"a part 10 dB down", 1, 0.1, 0.396, 0.404},
	} {
		for i, energy := range []float32{c.energy, c.more} {
			var s suspect
			for _, e := range []float32{c.loud, c.quiet} {
				for range 200 * b2i(e > 0) {
					s.check(0, true, e)
				}
			}
			s.wounded()
			if err := s.check(0, true, energy); (err != nil) != (i == 1) {
				t.Errorf("%s, %g: %v", c.name, energy, err)
			}
		}
	}
}

// Codes that end early are damage only where a file never has that.
func TestHabits(t *testing.T) {
	for _, c := range []struct {
		name         string
		lame         bool
		held, broken int
		want         bool // the next break counts
	}{
		{"lame, long enough", true, habitMinLame, 0, true},
		{"lame, one too few", true, habitMinLame - 1, 0, false},
		{"another encoder, long enough", false, habitMin, 0, true},
		{"another encoder, one too few", false, habitMin - 1, 0, false},
		{"broken as often as one in twelve", true, 12 * 10, 9, true},
		{"more often", true, 12*10 - 1, 9, false},
	} {
		s := suspect{lame: c.lame}
		s.ends = habit{held: c.held, broken: c.broken}
		if got := s.check(0, false, 0) == errEnd; got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
	// Eight breaks in a row are another encoder: the habit is over, and begins anew.
	s := suspect{lame: true, ends: habit{held: 1000}}
	for i := range habitRow {
		if got := s.check(0, false, 0) == errEnd; got != (i < habitRow-1) {
			t.Errorf("break %d in a row: %v", i+1, got)
		}
	}
	for range habitMinLame {
		s.check(0, true, 0)
	}
	if s.check(0, false, 0) != errEnd {
		t.Error("the new habit does not count")
	}
	// Seven, one that holds, and seven again are none.
	s = suspect{lame: true, ends: habit{held: 1000}}
	for i := range 15 {
		if got := s.check(0, i == 7, 0) == errEnd; got != (i != 7) {
			t.Errorf("granule %d: %v", i, got)
		}
	}
}
