package advice

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// TestPassed: where a verdict has named nothing, what is small is advised as a matter of taste,
// and what is large is the track's own; without a verdict both are advised.
func TestPassed(t *testing.T) {
	spectra, levels := group(12, 0.5)
	for _, c := range []struct {
		own   detect.Spectrum
		moves int
	}{{bent(0, high(4000, -4)), 1}, {bent(0, high(4000, 9)), 0}, {bent(0, low(150, -8)), 0}, {bent(0, low(150, -4), high(4000, 9)), 1}} {
		a := After(Verdict{Judged: true}, c.own, -8, spectra, levels)
		if free := Of(c.own, -8, spectra, levels); len(a.Moves) != c.moves || len(free.Moves) < 1 || free.Passed || !a.Passed {
			t.Errorf("%d moves, want %d, and %d without a verdict: %+v", len(a.Moves), c.moves, len(free.Moves), a.Moves)
		}
		said := strings.Join(a.Sentences(false), " ")
		if c.moves == 0 && (!strings.HasPrefix(said, reason.NoMovesButRest+" Outside the range of your references, as single records are: ") || len(a.TooFar) > 0) {
			t.Error(said)
		}
		if c.moves == 1 && !strings.HasPrefix(said, reason.ToTaste) {
			t.Error(said)
		}
	}
}

// TestNamedAndOwn: beside what a verdict has named, what it has not is held to the same limit.
func TestNamedAndOwn(t *testing.T) {
	spectra, levels := group(12, 0.5)
	v := Verdict{Judged: true, Said: []Said{{reason.HighShelf, 8000, -8}}}
	for dB, want := range map[float64]int{-9: 1, -4: 2} {
		a := After(v, bent(0, high(8000, -8), low(150, dB)), -8, spectra, levels)
		if len(a.Moves) != want || a.Moves[want-1].Filter != reason.HighShelf || a.Passed {
			t.Errorf("a low shelf of %g dB: %+v", dB, a.Moves)
		}
		if said := strings.Join(a.Sentences(true), " "); strings.Contains(said, "as single records are") || !strings.HasPrefix(said, reason.Finer) {
			t.Error(said)
		}
	}
}

// TestTooFar: what lies more than 12 dB off is no move but a question, and where the verdict asks
// it already, nothing more.
func TestTooFar(t *testing.T) {
	spectra, levels := group(12, 0.5)
	own := bent(0, high(3000, -16))
	const question = "more than 12 dB under your references: no equaliser mends that"
	a := Of(own, -8, spectra, levels)
	if said := strings.Join(a.Sentences(false), " "); len(a.TooFar) != 1 || a.TooFar[0].Filter != reason.HighShelf || a.TooFar[0].OffDB > -12 || !strings.Contains(said, question) || strings.Contains(said, reason.NoMovesButRest) {
		t.Error(said, a.TooFar)
	}
	a = After(Verdict{Judged: true, Said: []Said{{reason.HighShelf, 8000, -14}}}, own, -8, spectra, levels)
	for _, m := range a.Moves {
		if m.At(10000) > Least {
			t.Errorf("a move where the verdict asks: %+v", m)
		}
	}
	if said := a.Sentences(true); said[0] != reason.NotEqualiser || strings.Contains(strings.Join(said, " "), question) {
		t.Error(said)
	}
	// The verdict's own limit: 12.0 dB is still for an equaliser, 12.1 is not.
	for off, moves := range map[float64]int{12.04: 1, -12.04: 1, 12.06: 0} {
		a := After(Verdict{Judged: true, Said: []Said{{reason.HighShelf, 8000, off}}}, bent(0, high(8000, off)), -8, spectra, levels)
		if len(a.Moves) != moves {
			t.Errorf("%g dB named: %+v", off, a.Moves)
		}
	}
}

// TestUnlike: a track that no reference is like is not held against them.
func TestUnlike(t *testing.T) {
	spectra, levels := group(12, 0.5)
	a := After(Verdict{Unlike: true}, bent(0, low(100, 8)), -8, spectra, levels)
	if said := a.Sentences(false); len(a.Moves)+len(a.Rest)+len(a.OffDB) > 0 || len(said) != 1 || said[0] != reason.NoneAlike || a.References != 12 {
		t.Error(said, a)
	}
}

// TestOffAsSaid: what a verdict has said and the loudest 30 s do not show is off as it was said.
func TestOffAsSaid(t *testing.T) {
	spectra, levels := group(12, 0.5)
	a := After(Verdict{Judged: true, Said: []Said{{reason.Bell, 350, -7}}}, music(), -8, spectra, levels)
	if !slices.ContainsFunc(a.Moves, func(m Move) bool { return m.Filter == reason.Bell && m.OffDB == -7 && m.DB == 7 }) {
		t.Errorf("%+v", a.Moves)
	}
}

// TestLimits: whatever the spectrum and the verdict, nothing said is over 12 dB, and nothing
// over 6 where the verdict has named nothing there.
func TestLimits(t *testing.T) {
	spectra, levels := group(12, 0.5)
	r := rand.New(rand.NewPCG(7, 9))
	for range 40 {
		s := music()
		for b := range s.LoudestDB {
			s.LoudestDB[b] += detect.Value(8 * r.NormFloat64())
		}
		v := Verdict{Judged: r.IntN(3) > 0}
		if r.IntN(2) > 0 {
			v.Said = []Said{{reason.LowShelf, 100, 16 * (r.Float64() - 0.5)}}
		}
		a := After(v, s, -8, spectra, levels)
		for _, m := range a.Moves {
			largest, limit := max(math.Abs(float64(m.DB)), math.Abs(float64(m.OffDB))), reason.MaxAdvice
			back := m.shape
			back.dB = -back.dB
			if _, named := v.about(back); v.Judged && !named {
				limit = mostPassed
			}
			if largest > limit+0.05 {
				t.Errorf("%+v: %+v", v, m)
			}
		}
	}
}
