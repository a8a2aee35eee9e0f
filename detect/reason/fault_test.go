package reason

import (
	"math"
	"strings"
	"testing"
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
		for _, s := range []string{p.effect, p.remedy} {
			if !strings.HasSuffix(s, ".") || strings.Count(s, ".")-strings.Count(s, "44.1") != 1 {
				t.Errorf("%s: %q is not one sentence", k, s)
			}
		}
		if k.Severity() < Note || k.Severity() > HoldBack {
			t.Errorf("%s: severity %d", k, k.Severity())
		}
	}
}

func TestUnknownKindIsLookedAt(t *testing.T) {
	k := Kind("from_the_future")
	if k.Sentence("", math.NaN()) != "From_the_future" || Kind("").Sentence("", 61) != "A fault without a name (at 1:01)" {
		t.Errorf("without words: %q and %q", k.Sentence("", math.NaN()), Kind("").Sentence("", 61))
	}
	if k.Severity() != Check || k.Reason() != "from_the_future" || k.Sentence("odd", math.NaN()) != "Odd" {
		t.Errorf("severity %v, reason %q, sentence %q", k.Severity(), k.Reason(), k.Sentence("odd", math.NaN()))
	}
}

// A fault's sentence is what was found, where, what it does and what to do.
func TestFaultSentence(t *testing.T) {
	const rest = ". A jump in the waveform cracks through the tweeters. " +
		"Listen at the given place; if it clicks, copy the file again or repair it in an editor."
	for _, c := range []struct {
		at   float64
		want string
	}{
		{math.NaN(), "1 jump" + rest},
		{0, "1 jump (at 0:00)" + rest},
		{59.6, "1 jump (at 0:59)" + rest},
	} {
		if got := Click.Sentence("1 jump", c.at); got != c.want {
			t.Errorf("at %g: %q, want %q", c.at, got, c.want)
		}
	}
}
