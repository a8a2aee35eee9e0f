package detect

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"
)

// TestValuesAsJSON: a list is written and read as encoding/json does with its elements one
// by one.
func TestValuesAsJSON(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	lists := []Values{nil, {}, {None}, {0}, {Value(math.Copysign(0, -1)), 1e-9, -1e-9, Value(math.Inf(1)), 1e9, -12.34567}}
	long := Values{}
	for range 300 {
		long = append(long, Value(rng.NormFloat64()*20))
	}
	for _, list := range append(lists, long) {
		want, err := json.Marshal([]Value(list))
		if err != nil {
			t.Fatal(err)
		}
		got, err := json.Marshal(list)
		if err != nil || string(got) != string(want) {
			t.Errorf("%s, error %v; want %s", got, err, want)
		}
		var one []Value
		var all Values
		if err := json.Unmarshal(want, &one); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(want, &all); err != nil || len(all) != len(one) || (all == nil) != (one == nil) {
			t.Fatalf("%s: read as %v, error %v", want, all, err)
		}
		for i := range all {
			if all[i] != one[i] && !(math.IsNaN(float64(all[i])) && math.IsNaN(float64(one[i]))) {
				t.Errorf("%s: number %d is %v, want %v", want, i, all[i], one[i])
			}
		}
	}
}

// TestBadValues: what is no list of numbers is refused, and spaces are none of it.
func TestBadValues(t *testing.T) {
	for text, good := range map[string]bool{
		"[ 1 , null,\n2.5e0 ]": true, " [ ] ": true, "null": true,
		`["1"]`: false, "[[1]]": false, "{}": false, "3": false, "[true]": false, `[{"a":1}]`: false,
	} {
		v := Values{7}
		err := json.Unmarshal([]byte(text), &v)
		if (err == nil) != good {
			t.Errorf("%s: error %v, read as %v", text, err, v)
		}
	}
	var v Values
	if err := json.Unmarshal([]byte("[ 1 , null,\n2.5e0 ]"), &v); err != nil || len(v) != 3 || v[0] != 1 || v[1].Exists() || v[2] != 2.5 {
		t.Errorf("%v, error %v", v, err)
	}
	for _, text := range []string{"", "[", "]", "[1", "1]", "[1,]", "[,]"} {
		if err := v.UnmarshalJSON([]byte(text)); err == nil {
			t.Errorf("%q is read as %v", text, v)
		}
	}
}
