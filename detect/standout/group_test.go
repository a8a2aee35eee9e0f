package standout

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
)

// A reference that lacks a figure that the track has is left out of the prediction, and does
// not make it fail.
func TestReferencesWithoutAFigure(t *testing.T) {
	refs := pool(9, -8)
	refs[0].Balance.AirDB = detect.None
	x := plain(99, -8)
	x.BPM, x.Pattern, x.Balance = 128, fourFloor, equalised(usual, 7, 0)
	if got := New(refs, Options{}).Judge(x); !slices.Equal(got.Reasons, []string{"low end heavy"}) {
		t.Errorf("reasons %q", got.Reasons)
	}
}

// What is unusual but cannot be heard is not named: references so alike that 1.9 dB of
// presence lies past the cut-off.
func TestInaudibleMovesAreNotNamed(t *testing.T) {
	refs := pool(60, -8)
	j := New(refs, Options{})
	for dB, want := range map[float64]bool{1.9: false, 3: true} {
		x := plain(99, -8)
		x.BPM, x.Pattern, x.Balance = 128, fourFloor, equalised(usual, dB, 2)
		if named := slices.Contains(j.Judge(x).Reasons, "harsh"); named != want {
			t.Errorf("%g dB of presence: named %v", dB, named)
		}
	}
}

// Among very many references tracks that share their nearest one share its group, and no
// others do.
func TestGroupsAmongManyReferences(t *testing.T) {
	var refs []Track
	for i, r := range pool(2*manyReferences, -8) {
		if i%2 == 1 {
			r.BPM, r.Pattern = 174, broken
		}
		refs = append(refs, r)
	}
	j := New(refs, Options{})
	for _, bpm := range []detect.Value{128, 174, 128} {
		x := plain(9999, -8)
		x.BPM, x.Pattern = bpm, fourFloor
		if bpm == 174 {
			x.Pattern = broken
		}
		ids := j.Judge(x).Members
		if len(ids) != groupSize {
			t.Fatalf("%d references", len(ids))
		}
		for _, id := range ids {
			if refs[id-1].BPM != bpm {
				t.Errorf("a track at %v BPM is held against one at %v", bpm, refs[id-1].BPM)
			}
		}
	}
}

// Of many references as many are drawn whatever the others are: one that goes takes at most its own
// place, and the drawing prefers none.
func TestDrawnByTheirFigures(t *testing.T) {
	refs := pool(3*manyReferences, -8)
	drawn := New(refs, Options{}).LooksAmong()
	if len(drawn) != manyReferences {
		t.Fatalf("%d are drawn", len(drawn))
	}
	first := 0
	for _, id := range drawn {
		if id <= int64(len(refs)/2) {
			first++
		}
	}
	if share := float64(first) / manyReferences; math.Abs(share-0.5) > 0.1 { // four standard deviations
		t.Errorf("%.2f of them are of the first half", share)
	}
	for i := 0; i < len(refs); i += 37 {
		was := slices.Contains(drawn, refs[i].ID)
		now := New(slices.Delete(slices.Clone(refs), i, i+1), Options{}).LooksAmong()
		stay := 0
		for _, id := range now {
			if slices.Contains(drawn, id) {
				stay++
			}
		}
		if want := manyReferences; was && stay != want-1 || !was && stay != want {
			t.Errorf("without track %d, which is drawn: %v, %d of %d stay", refs[i].ID, was, stay, want)
		}
	}
	refs[5].Named = true
	if among := New(refs, Options{}).LooksAmong(); among != nil {
		t.Errorf("with one named by hand likeness is looked for among %d", len(among))
	}
}

// A bass that plays above the sub is not told to raise what isn't there.
func TestNothingToRaise(t *testing.T) {
	for share, want := range map[detect.Value]bool{-11: true, -2: false} {
		x := plain(99, -8)
		x.Balance.SubShareDB = share
		f := &toned{Move: Move{Code: "sub thin", DB: -5, Spreads: -3}, way: &way{move: &moves[4]}}
		g := &group{Group: Group{Basis: "like", Tracks: 9}}
		if said := strings.Contains(toneReason(&x, f, g).sentence, "little to raise"); said != want {
			t.Errorf("sub %v dB over the bass: %v", share, said)
		}
	}
}

// Looking for the nearest reference alone finds the one that sorting them all puts
// first, also among equals, without itself, and where there is no kin.
func TestFirstIsTheNearest(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 15))
	kin := 0
	for trial := range 400 {
		refs := pool(4+trial%9, -8)
		for i := range refs {
			refs[i].BPM = detect.Value(120 + 4*rng.IntN(4+trial%5))
			if rng.IntN(2) == 0 {
				refs[i].Pattern = broken
			}
			if rng.IntN(12) == 0 {
				refs[i].BPM = detect.None
			}
		}
		r := newReferences(refs)
		x := plain(9999, -8)
		x.BPM, x.Pattern = detect.Value(118+rng.IntN(30)), fourFloor
		self := rng.IntN(len(refs)+1) - 1
		ranking := r.rank(&x, self)
		first, ok := r.first(&x, self)
		if ok != (ranking != nil) || (ok && first != ranking[0].index) {
			t.Fatalf("trial %d: first %d, %v; ranking %v", trial, first, ok, ranking)
		}
		if ok {
			kin++
		}
	}
	if kin < 100 || kin > 300 {
		t.Errorf("%d of 400 had kin: the trials are one-sided", kin)
	}
}
