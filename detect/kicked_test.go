package detect

import "testing"

// TestName: the note of a sub, and whether its key has it: C is a note of A minor and of C
// major, not of A major.
func TestName(t *testing.T) {
	for _, c := range []struct {
		key  *Key
		want bool
	}{{&Key{Tonic: "A", Mode: "minor"}, true}, {&Key{Tonic: "A", Mode: "major"}, false}, {&Key{Tonic: "C", Mode: "major"}, true}} {
		k := Kick{SubCents: None}
		k.name(65.4064, c.key)
		if k.SubNote != "C2" || !(k.SubCents < 1) || k.SubInKey == nil || *k.SubInKey != c.want {
			t.Errorf("%+v: %+v", c.key, k)
		}
	}
	k := Kick{SubCents: None}
	if k.name(65.4064, nil); k.SubNote != "C2" || k.SubInKey != nil {
		t.Errorf("without a key: %+v", k)
	}
	k = Kick{SubCents: None}
	if k.name(float64(None), &Key{Tonic: "A", Mode: "minor"}); k.SubNote != "" || k.SubInKey != nil || k.SubCents.Exists() {
		t.Errorf("without a note: %+v", k)
	}
}
