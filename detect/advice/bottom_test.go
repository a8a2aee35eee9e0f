package advice

import (
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// kicks are n references whose kick stands 3 to 5 dB over the bass, which goes down by 6
// to 8 dB.
func kicks(n int) (out []*detect.Kick) {
	for i := range n {
		x := detect.Value(2 * float64(i) / float64(n-1))
		out = append(out, &detect.Kick{OverBassDB: 3 + x, DipDB: 6 + x})
	}
	return out
}

// TestBottom: what lies under the references, and so far that it is heard, is advised.
func TestBottom(t *testing.T) {
	for _, c := range []struct {
		name      string
		over, dip detect.Value
		codes     string
	}{
		{"as they", 4, 7, ""}, {"stronger and deeper", 9, 15, ""}, {"buried", 1, 7, reason.KickBuried}, {"on top", 4, 2, reason.SubOnKick},
		{"both", -3, 0, reason.KickBuried + " " + reason.SubOnKick}, {"under the range, not heard", 2.6, 5.6, ""}, {"unknown", detect.None, detect.None, ""},
	} {
		b := BottomOf(&detect.Kick{OverBassDB: c.over, DipDB: c.dip, BackAfterS: detect.None, SubUp: detect.None}, append(kicks(9), nil, &detect.Kick{OverBassDB: detect.None, DipDB: detect.None}))
		if got := strings.Join(b.Codes, " "); got != c.codes {
			t.Errorf("%s: %q, want %q", c.name, got, c.codes)
		}
		if b.OverBass.References != 9 || b.OverBass.Low != 3 || b.OverBass.High != 5 || b.OverBass.Median != 4 || b.Dip.Median != 7 {
			t.Errorf("%s: %+v, %+v", c.name, b.OverBass, b.Dip)
		}
	}
	few := BottomOf(&detect.Kick{OverBassDB: -9, DipDB: 0}, kicks(4))
	if len(few.Codes) != 0 || few.OverBass.Low.Exists() {
		t.Errorf("four references: %+v", few)
	}
	if b := BottomOf(nil, kicks(9)); b != nil || len(b.Sentences()) != 0 {
		t.Errorf("nothing known: %+v", b)
	}
}

// TestBottomSaid: what is known, then what to do.
func TestBottomSaid(t *testing.T) {
	in, out := true, false
	for _, c := range []struct {
		kick detect.Kick
		want string
	}{
		{detect.Kick{OverBassDB: 1, DipDB: 2, BackAfterS: detect.None, SubHz: 48.9, SubNote: "G1", SubCents: -3.4, SubInKey: &in, SubUp: 0.644},
			"Kick 1.0 dB over the bass between the kicks, which goes down by 2.0 dB at each. " +
				"The sub is G1, -3 cents (48.9 Hz), a note of the key; it is up for 64 % of the time. " +
				"Kick buried: it stands 3.0 dB less over the bass than in your references: kick up, bass down or shorter notes, 3.0 dB in all. " +
				"Sub on top of the kick: it goes down by 2.0 dB at each kick, in your references by 7.0: duck it further, or let its notes begin behind the kick."},
		{detect.Kick{OverBassDB: 4, DipDB: 7, BackAfterS: 0.1234, SubHz: 48.9, SubNote: "G1", SubCents: 3.4, SubInKey: &out, SubUp: 0.5},
			"Kick 4.0 dB over the bass between the kicks, which goes down by 7.0 dB at each and is back after 123 ms. " +
				"The sub is G1, +3 cents (48.9 Hz), no note of the key as it was measured; it is up for 50 % of the time."},
		{detect.Kick{OverBassDB: 4, DipDB: 24, BackAfterS: detect.None, SubCents: detect.None},
			"Kick 4.0 dB over the bass between the kicks, which goes down by 24 dB or more at each."},
		{detect.Kick{OverBassDB: detect.None, DipDB: detect.None, BackAfterS: detect.None, SubHz: 55, SubNote: "A1", SubCents: -0.2, SubUp: detect.None},
			"The sub is A1, +0 cents (55.0 Hz)."},
	} {
		if got := strings.Join(BottomOf(&c.kick, kicks(9)).Sentences(), " "); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
	none := detect.Kick{OverBassDB: -2, DipDB: 0.3, BackAfterS: detect.None}
	if got := BottomOf(&none, nil).Sentences(); len(got) != 1 || got[0] != "Kick 2.0 dB under the bass between the kicks, which does not go down at them." {
		t.Error(got)
	}
}
