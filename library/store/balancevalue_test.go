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
	fine, alone := full, empty.Balance
	fine.ThirdsDB = detect.Values{-8, -9.5, detect.None, -12.125, -20, -21, -22, -30}
	alone.ThirdsDB = fine.ThirdsDB
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
		{"third octaves", fine, nil, false},
		{"third octaves and pattern", fine, []detect.Value{0.25, detect.None, 1}, false},
		{"third octaves alone", alone, nil, false},
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
		got, want := append(balance{b: &b}.figures(), pointers(append(pattern, b.ThirdsDB...))...), append(balance{b: &c.b}.figures(), pointers(append(c.pattern, c.b.ThirdsDB...))...)
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
	for _, text := range []string{"1,x", "1,2;3,x"} {
		if err := (balance{&b, new(detect.Values)}).Scan(text); err == nil {
			t.Errorf("a damaged column is taken: %s", text)
		}
	}
	text, err := balance{&full, &detect.Values{0.25}}.Value()
	if want := "-1.234,,,,,-20.500,3.000,0.250"; err != nil || text != want {
		t.Errorf("%v, %v, want %s", text, err, want)
	}
	if err := (balance{&b, new(detect.Values)}).Scan("1,2"); err != nil || b.LowMidDB != 2 || b.MidDB.Exists() {
		t.Errorf("two figures: %v, %v", b, err)
	}
	// As rows were written before the third octaves were measured.
	pattern := detect.Values{9}
	if err := (balance{&fine, &pattern}).Scan("1,2,3,4,5,6,7,0.5"); err != nil || fine.ThirdsDB != nil || fine.SubShareDB != 7 || len(pattern) != 1 || pattern[0] != 0.5 {
		t.Errorf("an old row: %v, %v, %v", fine, pattern, err)
	}
}

func pointers(v []detect.Value) (out []*detect.Value) {
	for i := range v {
		out = append(out, &v[i])
	}
	return out
}
