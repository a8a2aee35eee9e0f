package advice

import (
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// TestOneVoice: what a verdict has named is answered by the moves, in its direction,
// whatever the loudest 30 s show by themselves; what they show too is not said twice.
func TestOneVoice(t *testing.T) {
	spectra, levels := group(12, 1)
	own := bent(0, high(8000, -5), low(70, 6))
	for _, said := range []Said{
		{reason.HighShelf, 8000, -5}, {reason.HighShelf, 1200, -3}, {reason.LowShelf, 100, 5}, {reason.LowShelf, 60, 4},
		{reason.Bell, 350, 4}, {reason.Bell, 350, -3}, {reason.Bell, 3500, 5}, // these the spectrum does not show
		{reason.LowShelf, 100, -6}, {reason.HighShelf, 8000, 4}, // and these it speaks against
	} {
		a := Of(own, -8, spectra, levels, said)
		at := said.Hz
		switch said.Filter {
		case reason.LowShelf:
			at /= 2
		case reason.HighShelf:
			at = 12000
		}
		net := 0.0
		for _, m := range a.Moves {
			net += m.At(at)
		}
		if net*said.Off > 0 || net*sign(-said.Off) < Least {
			t.Errorf("%+v: the moves do %+.1f dB at %.0f Hz: %+v", said, net, at, a.Moves)
		}
		if len(a.Moves) > Most {
			t.Errorf("%+v: %d moves", said, len(a.Moves))
		}
		for i, m := range a.Moves {
			for _, o := range a.Moves[:i] {
				if fight(m.shape, o.shape) {
					t.Errorf("%+v: %+v and %+v fight", said, m, o)
				}
			}
		}
	}
}

// TestSaidAsItIs: a filter that a verdict has named and nothing shows stands among the
// moves with its own figures; one under what is heard does not.
func TestSaidAsItIs(t *testing.T) {
	spectra, levels := group(12, 1)
	a := Of(music(), -8, spectra, levels, Said{reason.Bell, 350, 4})
	if len(a.Moves) != 1 || a.Moves[0].DB != -4 || a.Moves[0].Hz < 349 || a.Moves[0].Hz > 351 {
		t.Errorf("%+v", a.Moves)
	}
	if a := Of(music(), -8, spectra, levels, Said{reason.Bell, 350, 1.4}); len(a.Moves) != 0 {
		t.Errorf("%+v", a.Moves)
	}
}

// TestSaidIsRefined: where the loudest 30 s show what a verdict has named, their figures
// stand and not the verdict's.
func TestSaidIsRefined(t *testing.T) {
	spectra, levels := group(12, 0.3)
	near(t, Of(bent(0, high(7000, -5)), -8, spectra, levels, Said{reason.HighShelf, 8000, -3}), high(7000, -5))
}

// TestCause: a track that is 6 LU louder than its references, and no louder at the
// bottom, is told to lower what lies above; one that is as loud, to raise the bottom.
func TestCause(t *testing.T) {
	spectra, levels := group(12, 0)
	for level, want := range map[detect.Value]string{
		-8: " dB under your references: low shelf at 60 Hz, +6.0 dB.",
		-2: "high shelf at 60 Hz, -6.0 dB",
	} {
		s := bent(float64(level)+8, low(60, -6))
		a := Of(s, level, spectra, levels)
		if said := strings.Join(a.Sentences(false), " "); !strings.Contains(said, want) || len(a.Moves) != 1 || a.Moves[0].Above != (level == -2) {
			t.Errorf("%v LUFS: %s", level, said)
		}
	}
}

// TestNamed: where a verdict has named a filter, the moves say that they are the same
// thing; without moves nothing of the kind is said.
func TestNamed(t *testing.T) {
	spectra, levels := group(12, 0.3)
	a := Of(bent(0, low(60, -6)), -8, spectra, levels)
	if s := a.Sentences(true); s[0] != reason.Finer {
		t.Error(s)
	}
	if s := a.Sentences(false); s[0] == reason.Finer {
		t.Error(s)
	}
	none := Of(music(), -8, spectra, levels)
	if s := none.Sentences(true); s[0] != reason.NoMoves {
		t.Error(s)
	}
	s := music()
	s.LoudestDB[12] += 2.1
	few := Of(s, -8, spectra, levels)
	if s := few.Sentences(false); len(few.Moves) > 0 || s[0] != reason.NoMovesButRest || !strings.Contains(s[1], "315 Hz, up to") || !strings.Contains(s[1], "over") {
		t.Error(s, few.Moves)
	}
}
