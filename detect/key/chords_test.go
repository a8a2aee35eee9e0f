package key

import (
	"math"
	"testing"
)

// triad sounds for a moment, its root in the bass.
func triad(root, third int) (s sounds) {
	for _, tone := range []int{root, root + third, root + 7} {
		s.all[tone%12] = 1
	}
	s.bass[root%12] = 0.5
	s.weight = 3
	return s
}

// Of C with E and G at 0.8, |c|^2 = 1 + 2 x 0.64 = 2.28. Its likeness with C major is 1, with C
// minor 1.64/2.28, with A minor 0.8 x 1.8/2.28; with the bass on C, of which it has 0.5/(0.5 +
// 0.02 x 2.6) = 0.906, A minor is less likely by 10 x 0.906 more.
func TestChordLikelihoods(t *testing.T) {
	s := sounds{weight: 2.6}
	s.all[0], s.all[4], s.all[7] = 1, 0.8, 0.8
	s.bass[0] = 0.5
	l := s.likelihoods()
	for _, c := range []struct {
		chord int
		want  float64 // logarithm, against C major
	}{{0, 0}, {12, 20 * (1.64/2.28 - 1)}, {12 + 9, 20*(0.8*1.8/2.28-1) - 10*0.5/(0.5+0.02*2.6)}} {
		if got := math.Log(l[c.chord] / l[0]); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("chord %d: %.4f, want %.4f", c.chord, got, c.want)
		}
	}
}

// A chord stays with chordStays; the others share what is left.
func TestMoved(t *testing.T) {
	p := perChord{3: 0.6, 20: 0.4}
	q := p.moved()
	for c, want := range map[int]float64{3: 0.6*0.85 + 0.4*0.15/23, 20: 0.4*0.85 + 0.6*0.15/23, 5: 0.15 / 23} {
		if math.Abs(q[c]-want) > 1e-12 {
			t.Errorf("chord %d: %v, want %v", c, q[c], want)
		}
	}
}

// told decodes moments and sums up what all say.
func told(x []sounds, rate []float64) (d *decoding, h harmony) {
	d = decodeChords(x, rate)
	for i := range x {
		d.tell(i, &h)
	}
	return d, h
}

// Eight moments of C major and eight of D minor are one move from the one to the other, and so
// it is where both can be heard alone: with nothing but silence between them there is none.
func TestDecodeChords(t *testing.T) {
	var x []sounds
	var rate []float64
	for i := range 16 {
		if i < 8 {
			x = append(x, triad(0, 4))
		} else {
			x = append(x, triad(2, 3))
		}
		rate = append(rate, 1)
	}
	_, h := told(x, rate)
	moves := 0.0
	for _, to := range h.moves {
		for _, v := range to {
			moves += v
		}
	}
	if math.Abs(h.sounding[0]-8) > 0.1 || math.Abs(h.sounding[14]-8) > 0.1 || math.Abs(h.moves[0][14]-1) > 0.05 || math.Abs(moves-1) > 0.1 {
		t.Errorf("C major %.3f, D minor %.3f, moves %.3f of %.3f", h.sounding[0], h.sounding[14], h.moves[0][14], moves)
	}
	x[8], rate[8] = sounds{}, 0
	d, h := told(x, rate)
	if d.full[8] || h.moves[0][14] > 0.05 || math.Abs(h.sounding[14]-7) > 0.1 {
		t.Errorf("with a silence between them: D minor %.3f, moves %.3f", h.sounding[14], h.moves[0][14])
	}
	if _, h := told(nil, nil); h != (harmony{}) {
		t.Error("nothing says something")
	}
}

// One moment of another chord, as a passing note makes it, is none: going there and back costs
// 2 log(0.85 x 23/0.15) = 9.7, a clear chord gains more, a cluster with it less.
func TestChordsGoOn(t *testing.T) {
	var x []sounds
	var rate []float64
	for range 9 {
		x = append(x, triad(0, 4))
		rate = append(rate, 1)
	}
	x[4] = triad(0, 3)
	x[4].all[4] = 0.9 // both thirds
	if d, _ := told(x, rate); d.chance[4][0] < 0.9 {
		t.Errorf("C major with a minor third: %.3f", d.chance[4][0])
	}
	x[4] = triad(6, 4)
	if d, _ := told(x, rate); d.chance[4][6] < 0.9 || d.chance[3][0] < 0.9 {
		t.Errorf("F# major: %.3f", d.chance[4][6])
	}
}

// What comes in after eight moments opens the track; after seven it may have been there before.
func TestOpening(t *testing.T) {
	for _, silent := range []int{0, 7, 8, 20} {
		x, rate := make([]sounds, silent), make([]float64, silent)
		for range 6 {
			x, rate = append(x, triad(5, 4)), append(rate, 1)
		}
		_, h := told(x, rate)
		want := 0.0
		if silent >= 8 {
			want = 1
		}
		if math.Abs(h.opening[5]-want) > 0.02 {
			t.Errorf("%d silent moments: %.3f, want %.0f", silent, h.opening[5], want)
		}
	}
}

// In C, G major lies 7 up; 12 more for minor chords. Of four moves two lead home from G and one
// goes to A minor; of two moves each counts a third.
func TestAsked(t *testing.T) {
	p := part{sounds: triad(2, 4)}
	p.chords.sounding[2], p.chords.sounding[9] = 3, 1
	p.chords.moves[9][2], p.chords.moves[2][23], p.chords.moves[4][9] = 2, 1, 1
	p.chords.opening[2] = 0.7
	d := Key{2, Major}
	l := p.listener()
	f := l.asked(d)
	if f[chordSounds][0] != 0.75 || f[chordSounds][7] != 0.25 || f[leadsHome][7] != 0.5 || f[leftFor][21] != 0.25 || f[leadsHome][2] != 0 {
		t.Errorf("in D major: %v", f)
	}
	if got := l.features(d)[opens]; got != 0.7 {
		t.Errorf("D major opens: %v", got)
	}
	p.chords.moves = [chordCount]perChord{9: {2: 1}, 2: {9: 1}}
	l = p.listener()
	if f := l.asked(d); math.Abs(f[leadsHome][7]-1/3.) > 1e-12 {
		t.Errorf("of two moves one counts %v", f[leadsHome][7])
	}
}
