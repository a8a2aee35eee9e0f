package store

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
)

// What goes into the column comes out of it, to the last digit.
func TestLimitingColumn(t *testing.T) {
	table := &detect.Limiting{
		OverDB: detect.Values{1, 2.5}, LossLU: detect.Values{0.01, 1.23}, P95DB: detect.Values{0, 2.4},
		Over2: detect.Values{0, 0.125}, AtS: detect.Values{61, 7202}, FlatShare: 0.007,
	}
	unknown := *table
	unknown.FlatShare = detect.None
	for _, want := range []*detect.Limiting{nil, table, &unknown} {
		in := want
		v, err := limiting{&in}.Value()
		if err != nil || (v == nil) != (want == nil) {
			t.Fatalf("%+v: %v, error %v", want, v, err)
		}
		got := &detect.Limiting{}
		if err := (limiting{&got}).Scan(v); err != nil {
			t.Fatalf("%v: %v", v, err)
		}
		same := cmp.Comparer(func(a, b detect.Value) bool { return a == b || !a.Exists() && !b.Exists() })
		if diff := cmp.Diff(want, got, same); diff != "" {
			t.Errorf("%v (-want +got):\n%s", v, diff)
		}
	}
	for _, damaged := range []string{"0", "0.1;1,2;1,2;1,2;1,2", "0.1;1,2;1,2;1,2;1,2;1", "0;1,2;1,2;1,2;1,2;1,2;", "0;2,1;1,2;1,2;1,2;1,2",
		"0;1,;1,2;1,2;1,2;1,2", "0;0,1;1,2;1,2;1,2;1,2", "x;1;1;1;1;1", "0;1;1;1;1;x", "0;1;1e10;1;1;1"} {
		got := table
		if err := (limiting{&got}).Scan(damaged); err == nil {
			t.Errorf("%q is taken for %+v", damaged, got)
		}
	}
}

// A record whose lists do not go together is refused; one without them is an older one.
func TestRecordsWithLimiting(t *testing.T) {
	for text, ok := range map[string]bool{
		`{"path":"a.wav"}`:                 true,
		`{"path":"a.wav","limiting":null}`: true,
		`{"path":"a.wav","limiting":{"over_db":[1],"loss_lu":[0.5],"p95_db":[1],"over_2_db_share":[0],"at_s":[3]}}`:   true,
		`{"path":"a.wav","limiting":{"over_db":[1,2],"loss_lu":[0.5],"p95_db":[1],"over_2_db_share":[0],"at_s":[3]}}`: false,
		`{"path":"a.wav","limiting":{}}`: false,
		`{"path":"a.wav","limiting":{"over_db":[1],"loss_lu":[null],"p95_db":[1],"over_2_db_share":[0],"at_s":[3]}}`: false,
	} {
		r, _, err := parseRecord([]byte(text))
		if (err == nil) != ok {
			t.Errorf("%s: error %v", text, err)
		}
		if err == nil && r.Limiting != nil && r.Limiting.FlatShare.Exists() {
			t.Errorf("%s: a share of flat tops of %v", text, r.Limiting.FlatShare)
		}
	}
}
