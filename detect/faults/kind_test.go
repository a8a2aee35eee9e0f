package faults

import (
	"math"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

func TestEveryKindHasAPlaceInTheVerdict(t *testing.T) {
	if len(places) < 20 {
		t.Fatalf("only %d kinds in the table", len(places))
	}
	for k, p := range places {
		if k == "" || strings.ContainsAny(string(k), " -;") {
			t.Errorf("%q: a kind is lower case with underscores", k)
		}
		if p.reason == "" || strings.ContainsAny(p.reason, ";,\"_") {
			t.Errorf("%s: reason %q cannot stand in a list that is separated by semicolons", k, p.reason)
		}
		for _, s := range []string{k.Effect(), k.Remedy()} {
			if !strings.HasSuffix(s, ".") || strings.Count(s, ".")-strings.Count(s, "44.1") != 1 {
				t.Errorf("%s: %q is not one sentence", k, s)
			}
		}
		if !k.Known() || k.Severity() < Note || k.Severity() > HoldBack {
			t.Errorf("%s: severity %d", k, k.Severity())
		}
	}
}

func TestUnknownKindIsLookedAt(t *testing.T) {
	k := Kind("from_the_future")
	if k.Known() || k.Severity() != CheckIt || k.Reason() != "from_the_future" {
		t.Errorf("known %v, severity %v, reason %q", k.Known(), k.Severity(), k.Reason())
	}
}

func TestFromStream(t *testing.T) {
	for _, tt := range []struct {
		in   *stream.Error
		want Kind
		at   float64
	}{
		{stream.Errorf(stream.Damaged, "a frame").AtTime(2.5), Damaged, 2.5},
		{stream.Errorf(stream.Truncated, "the end"), Truncated, math.NaN()},
		{stream.Errorf(stream.Unsupported, "layer I"), Format, math.NaN()},
	} {
		f := FromStream(*tt.in)
		if f.Kind != tt.want || f.Detail != tt.in.Detail || !(f.At == tt.at || math.IsNaN(f.At) && math.IsNaN(tt.at)) {
			t.Errorf("FromStream(%v) = %+v", tt.in, f)
		}
	}
}
