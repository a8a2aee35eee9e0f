package main

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
)

// TestEveryDefectHasARightName keeps the table's last figure meaningful.
func TestEveryDefectHasARightName(t *testing.T) {
	for _, d := range studio.Defects() {
		if len(rightCodes(d.Name)) == 0 {
			t.Errorf("%s: no reason code is right for it", d.Name)
		}
	}
	if !slices.Equal(rightCodes("gain -3"), []string{"quiet"}) || !slices.Equal(rightCodes("gain +3"), []string{"loud"}) {
		t.Error("gains are named wrongly")
	}
}

// library of unmeasured records: nine genres, seeds 1 to n.
func unmeasured(n int) (out []*Record) {
	for _, g := range studio.Genres {
		for seed := range n {
			out = append(out, &Record{Spec: Spec{Genre: g.Name, Seed: uint64(seed + 1)}, Measurement: detect.Empty()})
		}
	}
	return out
}

// TestGroupsLeaveTheTrackOut: no group holds the judged track, its spoilt copies,
// a track of the other half or, where one genre is asked for, another genre.
func TestGroupsLeaveTheTrackOut(t *testing.T) {
	records := unmeasured(20)
	records = append(records, &Record{Spec: Spec{Genre: "house", Seed: 3, Defect: "gain -3"}},
		&Record{Spec: Spec{Genre: "house", Seed: lookSeed, Look: "stutter"}})
	b := arrange(records, "show")
	if len(b.songs) != 90 || len(b.looks) != 1 || len(b.spoilt) != 1 {
		t.Fatalf("%d songs, %d look-alikes, %d spoilt", len(b.songs), len(b.looks), len(b.spoilt))
	}
	track := Spec{Genre: "house", Seed: 3, Defect: "gain -3"}
	for time := range 20 {
		for _, r := range b.draw(sameKind, track, 9, time) {
			if r.Spec == track.song() || r.Spec.Genre != "house" || r.Spec.Half() != "show" {
				t.Errorf("%s is a reference of %s", r.Spec, track)
			}
		}
	}
	if b.draw(sameKind, track, 10, 0) != nil {
		t.Error("ten references of nine")
	}
	for _, r := range b.draw(otherKind, Spec{Genre: "dubstep", Seed: 1}, 40, 0) {
		if !studio.GenreNamed(r.Spec.Genre).Four {
			t.Errorf("%s has no kick on every beat", r.Spec)
		}
	}
	one, two := b.draw(mixedKind, track, 25, 0), b.draw(mixedKind, track, 25, 1)
	if slices.Equal(one, two) || !slices.Equal(one, b.draw(mixedKind, track, 25, 0)) {
		t.Error("groups must differ from time to time and be the same from run to run")
	}
}

// TestTallies checks what each count means.
func TestTallies(t *testing.T) {
	r := &Record{Spec: Spec{Genre: "house", Defect: "hole 1 s"}}
	clean := standout.Judgement{Verdict: standout.Check, Reasons: []string{"quiet"}}
	r.Measurement.Faults = []detect.Fault{{Kind: string(reason.Hole)}}
	got := of(r, standout.Judgement{Verdict: standout.HoldBack, Reasons: []string{"quiet", "hole"}}, &clean)
	r.Measurement.Faults = []detect.Fault{{Kind: string(reason.WowSlight)}}
	if got != (tally{judged: 1, flagged: 1, held: 1, reported: 1, named: 1, fault: 1}) {
		t.Errorf("a hole that was found counts as %+v", got)
	}
	if got := of(r, clean, &clean); got != (tally{judged: 1, flagged: 1}) {
		t.Errorf("what the clean song has too counts as %+v", got)
	}
	if got := of(r, standout.Judgement{Verdict: standout.Ready}, &clean); got != (tally{judged: 1}) {
		t.Errorf("ready counts as %+v", got)
	}
}

// TestCacheKeepsRecords measures noise, stores it and reads it again; a second
// half of its length is silence, so that levels that don't exist are kept too.
func TestCacheKeepsRecords(t *testing.T) {
	a := sound.New(8 * sound.Rate)
	for i := range 4 * sound.Rate {
		a.L[i] = 0.1 * math.Sin(float64(i)*0.1)
		a.R[i] = a.L[i]
	}
	s := Spec{Genre: "house", Seed: 3}
	quantise(a, 24, 1)
	r, err := measure(context.Background(), s, a, true)
	if err != nil {
		t.Fatal(err)
	}
	c := cache{dir: t.TempDir()}
	if err := c.store(r); err != nil {
		t.Fatal(err)
	}
	back := c.load(s)
	if back == nil {
		t.Fatal("nothing was read back")
	}
	if len(back.Thirds) != 8 || len(back.Thirds[0]) != 31 || back.Thirds[6][10].Exists() || !back.Thirds[1][10].Exists() {
		t.Errorf("third octaves: %d seconds, %v", len(back.Thirds), back.Thirds)
	}
	if d := back.Measurement.Loudness.IntegratedLUFS - r.Measurement.Loudness.IntegratedLUFS; math.Abs(float64(d)) > 1e-4 {
		t.Errorf("loudness came back changed by %v", d)
	}
	if c.load(Spec{Genre: "house", Seed: 4}) != nil {
		t.Error("a record was found that was never stored")
	}
}

// TestQuantiseSteps: every sample lies on a step of the file, and 16 bits come
// with dither of up to one and a half steps.
func TestQuantiseSteps(t *testing.T) {
	for _, bits := range []int{16, 24} {
		a, step := sound.New(1000), math.Exp2(float64(1-bits))
		for i := range a.L {
			a.L[i] = 0.7 * math.Sin(float64(i))
		}
		b := a.Clone()
		quantise(b, bits, 1)
		worst := 0.0
		for i, v := range b.L {
			if n := v / step; n != math.Round(n) {
				t.Fatalf("%d bits: %v is not on a step", bits, v)
			}
			worst = math.Max(worst, math.Abs(v-a.L[i])/step)
		}
		if limit := map[int]float64{16: 1.5, 24: 0.5}[bits]; worst > limit+1e-6 || worst < limit/2 {
			t.Errorf("%d bits: rounded by up to %.2f steps, want %.1f", bits, worst, limit)
		}
	}
}

// TestUsage: what is missing is said, and what to give.
func TestUsage(t *testing.T) {
	t.Setenv("DUBGAUGE_VERDICTS", "")
	for args, want := range map[string]string{"": "-cache", "-cache " + t.TempDir() + " -judge none": "no judge"} {
		err := run(context.Background(), strings.Fields(args), new(strings.Builder), new(strings.Builder))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q in it", args, err, want)
		}
	}
}

// TestFadeOut: a piece that is cut ends in silence, is at half its level in the middle of
// the fade, and is as it was before it.
func TestFadeOut(t *testing.T) {
	a := sound.New(10 * sound.Rate)
	a.Both(func(x []float64) {
		for i := range x {
			x[i] = 1
		}
	})
	fadeOut(a)
	start := 2 * sound.Rate
	if a.L[start-1] != 1 || math.Abs(a.R[start+4*sound.Rate]-0.5) > 1e-3 || math.Abs(a.L[a.Len()-1]) > 1e-6 {
		t.Errorf("before the fade %g, in its middle %g, at the end %g", a.L[start-1], a.R[start+4*sound.Rate], a.L[a.Len()-1])
	}
}

// TestSubThere: songs without a sub do not count where there is nothing to find.
func TestSubThere(t *testing.T) {
	songs := []*Record{}
	for i := range 7 {
		r := &Record{Spec: Spec{Genre: "house", Seed: uint64(2*i + 1)}, Measurement: detect.Empty()}
		r.Measurement.Balance.SubShareDB = detect.Value(-2 - 8*(i%2))
		spoilt := *r
		spoilt.Spec.Defect = "low shelf 60 Hz -6 (master)"
		other := *r
		other.Spec.Defect = "gain -3"
		songs = append(songs, r, &spoilt, &other)
	}
	c := &counter{bench: arrange(songs, "show"), judge: asLibrary, times: 1}
	c.run()
	at := func(row string) int {
		if x := c.cells[cell{row, sameKind, 5}]; x != nil {
			return x.judged
		}
		return 0
	}
	if all, sub, gain := at("low shelf 60 Hz -6 (master)"), at("low shelf 60 Hz -6 (master)"+subThere), at("gain -3"+subThere); all != 7 || sub != 4 || gain != 0 {
		t.Errorf("%d judged, %d with a sub, %d of a gain; want 7, 4, 0", all, sub, gain)
	}
}
