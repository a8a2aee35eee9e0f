package setlist

import (
	"math"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

func same(a, b detect.Value) bool {
	return a.Exists() == b.Exists() && !(math.Abs(float64(a-b)) > 1e-9)
}

// TestStepOfNoSub: how far under the music nothing lies is no step; that one of two tracks has no
// sub is said, and costs what it is, however little there is of it.
func TestStepOfNoSub(t *testing.T) {
	with := func(sub, bass, startSub detect.Value) Track {
		x := madeUp(-8, 128, "A minor")
		x.Loudest.SubDB, x.Loudest.BassDB, x.Start.SubDB, x.End.SubDB = sub, bass, startSub, startSub
		return x
	}
	for name, c := range map[string]struct {
		from, to    Track
		db          detect.Value
		missing     reason.Missing
		code, begin string
	}{
		"none comes in":      {with(-3, 0, -3), with(-35, 0, -3), -17, reason.MissingIn, reason.SubStep, "Next to no sub"},
		"none goes out":      {with(-45, 0, -3), with(-3, 0, -3), 17, reason.MissingOut, reason.SubStep, "It brings sub"},
		"just none":          {with(-14, 0, -3), with(-20, 0, -3), -6, reason.MissingIn, reason.SubStep, "Next to no sub"},
		"just some":          {with(-13, 0, -3), with(-19.9, 0, -3), -6.9, "", reason.SubStep, "6.9 dB less sub"},
		"hardly any, either": {with(-15, 0, -3), with(-40, 0, -3), -5, "", reason.SubStep, "5.0 dB less sub"},
		"none in both":       {with(-24, 0, -3), with(-60, 0, -3), 0, "", "", ""},
		"no bass":            {with(-3, 1, -3), with(-3, -30, -3), 0, "", reason.BassStep, "Next to no bass"},
		"none at the start":  {with(-3, 0, -3), with(-3, 0, -80), 0, "", reason.JoinSub, "Its start has next to no sub"},
		"not known":          {with(detect.None, 0, -3), with(-30, 0, -3), detect.None, "", "", ""},
	} {
		s := Check([]Track{c.from, c.to}, Options{}).Steps[0]
		if !same(s.Sub.DB, c.db) || s.Sub.Missing != c.missing {
			t.Errorf("%s: %+v, want %g, %q", name, s.Sub, c.db, c.missing)
		}
		if c.code == "" {
			if len(s.Flags) > 0 {
				t.Errorf("%s: %+v", name, s.Flags)
			}
			continue
		}
		if len(s.Flags) != 1 || s.Flags[0].Code != c.code || !strings.HasPrefix(s.Flags[0].Note, c.begin) {
			t.Errorf("%s: %+v, want %s: %s", name, s.Flags, c.code, c.begin)
		}
	}
	some, none, noise := with(-3, 0, -3), with(-20, 0, -20), with(-60, 0, -60)
	w := Options{}.filled().costs()
	if a, b := w.of(&some, &none), w.of(&some, &noise); a != b || !(a.LowEnd > 1) {
		t.Errorf("%+v with a sub of -20 dB, %+v of -60", a, b)
	}
}
