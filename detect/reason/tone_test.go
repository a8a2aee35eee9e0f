package reason

import "testing"

// The sentences as users know them; the figures are made up.
func TestToneSentences(t *testing.T) {
	like := Group{Basis: BasisLike, Tracks: 12}
	for _, c := range []struct {
		t    Tone
		want string
	}{
		{Tone{Code: LowEndThin, Off: -4.56, Filter: LowShelf, Hz: 100, Against: like},
			"The low end (below about 100 Hz) is 4.6 dB thin beside the 12 released tracks most like it: a low shelf at 100 Hz, +4.6 dB, puts it about right."},
		{Tone{Code: LowEndHeavy, Off: 13, Filter: LowShelf, Hz: 100, Against: like},
			"The low end (below about 100 Hz) is more than 12 dB heavy beside the 12 released tracks most like it: no equaliser mends that: ask whether this is the right file, or go back to the mix."},
		{Tone{Code: SubThin, Off: -5, Filter: LowShelf, Hz: 60, Against: like},
			"The sub (below about 60 Hz) is 5.0 dB thin beside the 12 released tracks most like it: a low shelf at 60 Hz, +5.0 dB, puts it about right."},
		{Tone{Code: SubThin, Off: -5, Filter: LowShelf, Hz: 60, Against: like, NoSub: true},
			"The sub (below about 60 Hz) is 5.0 dB thin beside the 12 released tracks most like it: its bass plays higher, so there is little to raise: layer a sub below it, or leave it as it is."},
		{Tone{Code: TopBright, Off: 3, Filter: HighShelf, Hz: 1200, Against: Group{Basis: BasisNamed, Tracks: 1}},
			"The top (above about 1.2 kHz) is 3.0 dB bright beside the named reference: a high shelf at 1.2 kHz, -3.0 dB, puts it about right."},
		{Tone{Code: Hollow, Off: -3, Filter: Bell, Hz: 350, Against: Group{Basis: BasisReleased, Tracks: 9}},
			"The low mids (about 350 Hz) are 3.0 dB down beside the 9 released tracks: a broad bell at 350 Hz, +3.0 dB, puts it about right."},
		{Tone{Code: Hollow, Off: -3, Filter: Bell, Hz: 800, Against: Group{Basis: BasisReleased, Tracks: 9}},
			"The mids (about 800 Hz) are 3.0 dB down beside the 9 released tracks: a broad bell at 800 Hz, +3.0 dB, puts it about right."},
		{Tone{Code: Muddy, Off: 3, Filter: Bell, Hz: 350, Against: Group{Basis: BasisReleased, Tracks: 9}},
			"The low mids (about 350 Hz) are 3.0 dB up beside the 9 released tracks: a broad bell at 350 Hz, -3.0 dB, puts it about right."},
		{Tone{Code: LowEndThin, Off: -4, Filter: LowShelf, Hz: 100, Against: like, Behind: true},
			"The low end (below about 100 Hz) is 4.0 dB thin beside the 12 released tracks most like it: a low shelf at 100 Hz, +4.0 dB, puts it about right. Its peaks hit the top less often than theirs, as behind an equaliser that came after the limiter: look for it there first."},
		{Tone{Code: LowEndHeavy, Off: 12.04, Filter: LowShelf, Hz: 100, Against: like},
			"The low end (below about 100 Hz) is 12.0 dB heavy beside the 12 released tracks most like it: a low shelf at 100 Hz, -12.0 dB, puts it about right, or the low EQ down while mixing."},
		{Tone{Code: LowEndThin, Off: -20, Filter: LowShelf, Hz: 100, Against: like},
			"The low end (below about 100 Hz) is more than 12 dB thin beside the 12 released tracks most like it: no equaliser mends that: ask whether this is the right file, or go back to the mix."},
	} {
		if got := c.t.Sentence(); got != c.want {
			t.Errorf("%s:\n got %q\nwant %q", c.t.Code, got, c.want)
		}
	}
}
