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

// TestSubAgainstKick: where the sum of kick and sub loses what is heard, and in the references it
// does not.
func TestSubAgainstKick(t *testing.T) {
	refs := func(worst detect.Value) []*detect.Kick {
		all := kicks(9)
		for i := range all {
			all[i].HeldThrough, all[i].AttackWorstDB = 40, worst-detect.Value(i)/100
		}
		return all
	}
	for _, c := range []struct {
		name  string
		held  int
		worst detect.Value
		refs  []*detect.Kick
		want  bool
	}{
		{"loses", 40, -2, refs(-0.4), true}, {"no references that run through", 40, -2, nil, true}, {"as they do", 40, -2, refs(-1.9), false},
		{"not heard", 40, -1.4, refs(0), false}, {"not held", 0, -2, nil, false}, {"unknown", 40, detect.None, nil, false},
	} {
		own := detect.Kick{OverBassDB: detect.None, DipDB: detect.None, HeldThrough: c.held, AttackWorstDB: c.worst}
		if got := strings.Contains(strings.Join(BottomOf(&own, c.refs).Codes, " "), reason.SubAgainstKick); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
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
			"Kick 1.0 dB over the bass between the kicks, which goes down by 2.0 dB where it is held through them. " +
				"The note most heard in the sub is G1, -3 cents (48.9 Hz), a note of the key; the sub is up for 64 % of the time. " +
				"Kick buried: it stands 3.0 dB less over the bass than in your references: kick up, bass down or shorter notes, 3.0 dB in all. " +
				"Sub on top of the kick: where it is held through a kick it goes down by 2.0 dB, in your references by 7.0: duck it further, or let its notes begin behind the kick."},
		{detect.Kick{OverBassDB: 4, DipDB: 7, BackAfterS: 0.1234, SubHz: 48.9, SubNote: "G1", SubCents: 3.4, SubInKey: &out, SubUp: 0.5},
			"Kick 4.0 dB over the bass between the kicks, which goes down by 7.0 dB where it is held through them and is back after 123 ms. " +
				"The note most heard in the sub is G1, +3 cents (48.9 Hz), no note of the key as it was measured; the sub is up for 50 % of the time."},
		{detect.Kick{OverBassDB: 4, DipDB: 24, BackAfterS: detect.None, SubCents: detect.None},
			"Kick 4.0 dB over the bass between the kicks, which goes down by 24 dB or more where it is held through them."},
		{detect.Kick{OverBassDB: detect.None, DipDB: detect.None, BackAfterS: detect.None, SubHz: 55, SubNote: "A1", SubCents: -0.2, SubUp: detect.None},
			"The note most heard in the sub is A1, +0 cents (55.0 Hz)."},
		{detect.Kick{OverBassDB: detect.None, DipDB: detect.None, BackAfterS: detect.None, SubHz: 60.1, SubNote: "B1", SubCents: -46.3, SubUp: 0.32},
			"The note most heard in the bass is B1, -46 cents (60.1 Hz); the bass is up for 32 % of the time."},
		{detect.Kick{OverBassDB: detect.None, DipDB: detect.None, BackAfterS: detect.None, SubHz: 60, SubNote: "B1", SubCents: -49, SubUp: detect.None},
			"The note most heard in the sub is B1, -49 cents (60.0 Hz)."},
	} {
		if got := strings.Join(BottomOf(&c.kick, kicks(9)).Sentences(), " "); got != c.want {
			t.Errorf("%s\nwant %s", got, c.want)
		}
	}
	against := detect.Kick{OverBassDB: 6, DipDB: 0.1, BackAfterS: detect.None, HeldThrough: 40, AttackSumDB: -0.04, AttackWorstDB: -1.96}
	want := "Kick 6.0 dB over the bass between the kicks, which does not go down where it is held through them. The sub runs on through the kicks: at the attack both together have " +
		"+0.0 dB of what each has alone, one kick in ten -2.0 dB or less. Sub against the kick: by their phases one kick in ten loses 2.0 dB or more at its " +
		"attack: let the sub duck there, begin anew behind the kick, or begin each note in one phase."
	if got := strings.Join(BottomOf(&against, nil).Sentences(), " "); got != want {
		t.Errorf("%s\nwant %s", got, want)
	}
	none := detect.Kick{OverBassDB: -2, DipDB: 0.3, BackAfterS: detect.None}
	if got := BottomOf(&none, nil).Sentences(); len(got) != 1 || got[0] != "Kick 2.0 dB under the bass between the kicks, which does not go down where it is held through them." {
		t.Error(got)
	}
}
