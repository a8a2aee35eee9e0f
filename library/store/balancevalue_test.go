package store

import (
	"math"
	"testing"

	"dubgauge/detect"
)

// What goes into the column comes out of it, to a thousandth of a decibel.
func TestBalanceColumn(t *testing.T) {
	empty := detect.Empty()
	full := empty.Balance
	full.LowDB, full.AirDB, full.SubShareDB = -1.2345, -20.5, 3
	for _, c := range []struct {
		name    string
		b       detect.Balance
		pattern detect.Values
		null    bool
	}{
		{"nothing", empty.Balance, nil, true},
		{"some figures", full, nil, false},
		{"figures and pattern", full, []detect.Value{0.25, detect.None, 1}, false},
		{"pattern alone", empty.Balance, []detect.Value{0.5}, false},
	} {
		text, err := balance{&c.b, &c.pattern}.Value()
		if err != nil || (text == nil) != c.null {
			t.Errorf("%s: %v, %v", c.name, text, err)
		}
		var b detect.Balance
		var pattern detect.Values
		if err := (balance{&b, &pattern}).Scan(text); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		got, want := append(balance{b: &b}.figures(), pointers(pattern)...), append(balance{b: &c.b}.figures(), pointers(c.pattern)...)
		if len(got) != len(want) {
			t.Fatalf("%s: %d figures, want %d", c.name, len(got), len(want))
		}
		for i := range got {
			if got[i].Exists() != want[i].Exists() || math.Abs(float64(*got[i]-*want[i])) > 0.0005 {
				t.Errorf("%s: figure %d is %v, want %v", c.name, i, *got[i], *want[i])
			}
		}
	}
	var b detect.Balance
	if err := (balance{&b, new(detect.Values)}).Scan("1,x"); err == nil {
		t.Error("a damaged column is taken")
	}
}

func pointers(v []detect.Value) (out []*detect.Value) {
	for i := range v {
		out = append(out, &v[i])
	}
	return out
}
