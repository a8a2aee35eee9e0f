package standout

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// half is a table in which half of what a limiter takes off is lost in loudness.
func half() *detect.Limiting {
	l := &detect.Limiting{FlatShare: 0.02}
	for _, over := range []detect.Value{1, 2, 3, 6, 10, 16} {
		l.OverDB, l.LossLU, l.P95DB = append(l.OverDB, over), append(l.LossLU, over/2), append(l.P95DB, over*0.6)
		l.Over2, l.AtS = append(l.Over2, over/20), append(l.AtS, 10*over)
	}
	return l
}

// With half lost, twice as much has to come off as the peaks do not allow; the other
// columns follow from the table above. The trim is 4, 8 or 12 dB, the ceiling -0.3.
func TestLimitingIsSolvedFor(t *testing.T) {
	for _, c := range []struct {
		name                              string
		level, peak                       detect.Value
		table                             *detect.Limiting
		safe, most, p95, over2, at, short detect.Value
	}{
		{"all fits", -12, -4.3, half(), 4, 0, detect.None, detect.None, detect.None, detect.None},
		{"1 dB left", -12, -3.3, half(), 3, 2, 1.2, 0.1, 20, detect.None},
		{"1.5 dB left", -12, -2.8, half(), 2.5, 3, 1.8, 0.15, 30, detect.None},
		// At 3 dB the limiter gives 1.5: of 3 left, 1.5 are missing.
		{"3 dB left", -12, -1.3, half(), 1, 6, 3.6, 0.3, 60, 1.5},
		// 1 dB over the ceiling already: 5 over, at 3 dB 1.5 of them.
		{"over the ceiling", -12, 0.7, half(), 0, 10, 6, 0.5, 100, 3.5},
		{"no limiter reaches it", -20, -2.3, half(), 2, detect.None, detect.None, detect.None, detect.None, 8.5},
		{"not worked out", -12, -1.3, nil, 1, 3, detect.None, detect.None, detect.None, detect.None},
		{"loud", -5, 0.5, half(), -3, 0, detect.None, detect.None, detect.None, detect.None},
	} {
		x := plain(99, float64(c.level))
		x.True, x.Limiting = c.peak, c.table
		got := New(pool(9, -8), Options{}).Judge(x).Trim
		for _, f := range []struct {
			name      string
			got, want detect.Value
		}{
			{"safe", got.SafeDB, c.safe}, {"limiting", got.LimitingDB, c.most}, {"p95", got.LimitingP95DB, c.p95},
			{"over 2", got.LimitingOver2, c.over2}, {"at", got.LimitingAtS, c.at}, {"short", got.MixShortDB, c.short},
		} {
			if f.got.Exists() != f.want.Exists() || math.Abs(float64(f.got-f.want)) > 1e-6 {
				t.Errorf("%s: %s %v, want %v", c.name, f.name, f.got, f.want)
			}
		}
		if worked := got.TrimDB > got.SafeDB && c.table != nil; worked != got.FlatShare.Exists() {
			t.Errorf("%s: flat %v", c.name, got.FlatShare)
		}
	}
}

// TestLimitingHoldsTogether: whatever the table, the gain over the ceiling less what it
// costs is what the trim asks for; a limiter never takes off less than what is left.
func TestLimitingHoldsTogether(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		table := &detect.Limiting{FlatShare: 0}
		over, loss := 0.0, 0.0
		for range rapid.IntRange(1, 9).Draw(r, "rows") {
			step := rapid.Float64Range(0.5, 3).Draw(r, "step")
			over += step
			loss += step * rapid.Float64Range(0, 1).Draw(r, "loss")
			table.OverDB, table.LossLU = append(table.OverDB, detect.Value(over)), append(table.LossLU, detect.Value(loss))
			table.P95DB, table.Over2, table.AtS = append(table.P95DB, 1), append(table.Over2, 0), append(table.AtS, 0)
		}
		l := limiter{table, rapid.Float64Range(0.01, 20).Draw(r, "left")}
		e, ok := l.solve()
		if reach := over - loss; ok != (reach >= l.over) && math.Abs(reach-l.over) > 1e-9 {
			r.Fatalf("left %v, the table reaches %v: solved %v", l.over, reach, ok)
		}
		if ok && (e < l.over-1e-9 || math.Abs(e-l.at(table.LossLU, e)-l.over) > 1e-6) {
			r.Fatalf("%v over the ceiling loses %v, %v was left", e, l.at(table.LossLU, e), l.over)
		}
	})
}

// TestQuietTrackIsToldOfTheLimiter: what the judge says of a quiet track says what is left.
func TestQuietTrackIsToldOfTheLimiter(t *testing.T) {
	x := plain(99, -14)
	x.True, x.Limiting = -1.3, half()
	x.Limiting.FlatShare = reason.SqueezedShare
	got := New(pool(9, -8), Options{}).Judge(x)
	want := got.Trim.Words()
	if i := len(got.Notes); i == 0 || !containsAny(got.Notes, want.Sentence()) {
		t.Errorf("notes %q, want %q among them", got.Notes, want.Sentence())
	}
}

func containsAny(all []string, part string) bool {
	for _, s := range all {
		if len(s) >= len(part) && s[len(s)-len(part):] == part {
			return true
		}
	}
	return false
}
