package status

import (
	"testing"

	"dubgauge/library/tags"
)

// TestEditions: which of two names is of the older version. The names are what producers
// call their bounces; common practice, no source.
func TestEditions(t *testing.T) {
	for _, c := range []struct{ older, newer string }{
		{"Night Ferry v7.wav", "Night Ferry v8.wav"},
		{"Night Ferry v9.wav", "Night Ferry v10.wav"},
		{"NightFerryV7.wav", "NightFerryV12.wav"},
		{"night_ferry_version_2.wav", "night_ferry_version_3.wav"},
		{"Night Ferry rev 3.aiff", "Night Ferry rev4.aiff"},
		{"Night Ferry master 2.wav", "Night Ferry master 3.wav"},
		{"Night Ferry master2.wav", "Night Ferry master10.wav"},
		{"Night Ferry (mix 3).wav", "Night Ferry (mix 4).wav"},
		{"Night Ferry premaster.wav", "Night Ferry master.wav"},
		{"Night Ferry pre-master.wav", "Night Ferry master.wav"},
		{"Night Ferry rough mix.wav", "Night Ferry mixdown.wav"},
		{"Night Ferry demo.wav", "Night Ferry premaster v3.wav"},
		{"Night Ferry premaster v2.wav", "Night Ferry premaster v3.wav"},
		{"Night Ferry v7 premaster.wav", "Night Ferry v8 master.wav"},
		{"Night Ferry v7.wav", "Night Ferry final.wav"},
		{"Night Ferry final.wav", "Night Ferry final 2.wav"},
		{"Night Ferry final 2.wav", "Night Ferry final 3.wav"},
		{"Night Ferry 2026-03-14.wav", "Night Ferry 2026-04-01.wav"},
		{"Night Ferry 20251231.wav", "Night Ferry 20260101.wav"},
		{"Night Ferry 14.03.2026.wav", "Night Ferry 01.04.2026.wav"},
		{"sub/folder v9/Night Ferry v1.wav", "Night Ferry v2.wav"},
	} {
		a, b := EditionOf(c.older, &tags.Tags{}), EditionOf(c.newer, &tags.Tags{})
		if c.newer == "Night Ferry final 2.wav" { // a number beside none says nothing
			if a.Compare(b) != 0 {
				t.Errorf("%q and %q: %d", c.older, c.newer, a.Compare(b))
			}
			continue
		}
		if a.Compare(b) >= 0 || b.Compare(a) <= 0 {
			t.Errorf("%q, %+v, is not older than %q, %+v", c.older, a, c.newer, b)
		}
	}
}

// TestEditionsThatDoNotSay: names from which nothing follows.
func TestEditionsThatDoNotSay(t *testing.T) {
	for _, c := range [][2]string{
		{"Night Ferry.wav", "Night Ferry.mp3"},
		{"Night Ferry.wav", "Night Ferry v7.wav"},
		{"Night Ferry v7.wav", "Night Ferry v7 320.mp3"},
		{"Night Ferry premaster v3.wav", "Night Ferry master v2.wav"}, // a contradiction
		{"Night Ferry V0.mp3", "Night Ferry V2.mp3"},                  // V0 is an encoder's setting
		{"Track 01.wav", "Track 02.wav"},
		{"Night Ferry master 2.wav", "Night Ferry mix 3.wav"}, // numbers of two things
		{"Night Ferry 128.wav", "Night Ferry 130.wav"},
		{"Night Ferry 2026-13-14.wav", "Night Ferry 2026-14-01.wav"}, // no months
		{"Night Ferry master.wav", "Night Ferry mix 4.wav"},
	} {
		a, b := EditionOf(c[0], &tags.Tags{}), EditionOf(c[1], &tags.Tags{})
		if a.Compare(b) != 0 || b.Compare(a) != 0 {
			t.Errorf("%q, %+v, against %q, %+v: %d", c[0], a, c[1], b, a.Compare(b))
		}
	}
	g := &tags.Tags{Artist: "Final 3"}
	if e := EditionOf("Final 3 - Night Ferry.wav", g); e != (Edition{}) {
		t.Errorf("of an artist called Final 3: %+v", e)
	}
}
