package key

import "testing"

// The circle of fifths as any textbook of harmony draws it: major keys
// clockwise from C, each with its relative minor inside.
var circle = []struct{ major, minor string }{
	{"C", "Am"}, {"G", "Em"}, {"D", "Bm"}, {"A", "F#m"}, {"E", "C#m"}, {"B", "G#m"},
	{"F#", "D#m"}, {"Db", "Bbm"}, {"Ab", "Fm"}, {"Eb", "Cm"}, {"Bb", "Gm"}, {"F", "Dm"},
}

func mustParse(t *testing.T, s string) Key {
	t.Helper()
	k, err := Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

func TestRelateRoundTheCircle(t *testing.T) {
	for i, at := range circle {
		next := circle[(i+1)%12]
		opposite := circle[(i+6)%12]
		for _, tt := range []struct {
			a, b string
			want Relation
		}{
			{at.major, at.major, Same}, {at.minor, at.minor, Same},
			{at.major, at.minor, Relative}, {at.minor, at.major, Relative},
			{at.major, next.major, FifthUp}, {at.minor, next.minor, FifthUp},
			{next.major, at.major, FifthDown}, {next.minor, at.minor, FifthDown},
			// The parallel minor lies three steps against the clock.
			{at.major, circle[(i+9)%12].minor, Parallel}, {circle[(i+9)%12].minor, at.major, Parallel},
			// A semitone lies five steps off on either side.
			{at.major, circle[(i+5)%12].major, Semitone}, {at.minor, circle[(i+7)%12].minor, Semitone},
			{at.major, opposite.major, Far}, {at.minor, opposite.minor, Far},
			{at.major, next.minor, Far}, {at.minor, next.major, Far},
			{at.major, circle[(i+2)%12].major, Far},
		} {
			if got := Relate(mustParse(t, tt.a), mustParse(t, tt.b)); got != tt.want {
				t.Errorf("Relate(%s, %s) = %q, want %q", tt.a, tt.b, got, tt.want)
			}
		}
	}
}

func TestRelateIsSymmetricWhereItShouldBe(t *testing.T) {
	reverse := map[Relation]Relation{Same: Same, Relative: Relative, Parallel: Parallel, Semitone: Semitone, Far: Far,
		FifthUp: FifthDown, FifthDown: FifthUp}
	count := map[Relation]int{}
	for i := range 24 {
		for j := range 24 {
			a, b := Key{i % 12, Mode(i / 12)}, Key{j % 12, Mode(j / 12)}
			r := Relate(a, b)
			count[r]++
			if Relate(b, a) != reverse[r] {
				t.Errorf("Relate(%v, %v) = %q, but the other way %q", a, b, r, Relate(b, a))
			}
		}
	}
	// Each of the 24 keys has one same, relative and parallel key, one a fifth
	// up, one down and two a semitone off; 17 are left of 24.
	want := map[Relation]int{Same: 24, Relative: 24, Parallel: 24, FifthUp: 24, FifthDown: 24, Semitone: 48, Far: 24 * 17}
	for r, n := range want {
		if count[r] != n {
			t.Errorf("%d pairs of keys are %q, want %d", count[r], r, n)
		}
	}
}

func TestRelateWithoutKey(t *testing.T) {
	a := Key{0, Major}
	if Relate(a, NoKey) != Unknown || Relate(NoKey, a) != Unknown || Relate(NoKey, NoKey) != Unknown {
		t.Error("a missing key must have no relation")
	}
}
