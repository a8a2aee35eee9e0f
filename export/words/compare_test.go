package words

import (
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/compare"
)

// What was done between two versions is said of what they share, and what differs in places is
// not called the same.
func TestCompared(t *testing.T) {
	hole, solo := compare.Span{StartS: 72, EndS: 75, In: "both", DB: 20}, compare.Span{StartS: 0, EndS: 8, In: "a"}
	for _, c := range []struct {
		r    compare.Result
		want []string
	}{
		{compare.Result{Kind: compare.Same}, []string{"The same audio."}},
		{compare.Result{Kind: compare.Same, Differ: []compare.Span{hole}}, []string{
			"The same audio, but for one place.", "From 1:12 to 1:15 in A they differ, by 20 dB on average over the bands."}},
		{compare.Result{Kind: compare.Same, OffsetS: -8, Differ: []compare.Span{solo}}, []string{
			"The same audio.", "B begins 8.000 s into A.", "Only A has its 0:00 to 0:08."}},
		{compare.Result{Kind: compare.Gain, GainDB: -2, OffsetS: 0.25, Differ: []compare.Span{hole, hole}}, []string{
			"Only the gain differs, but for 2 places: B is 2.00 dB quieter than A.", "What A begins with comes 0.250 s into B.",
			"From 1:12 to 1:15 in A they differ, by 20 dB on average over the bands.", "From 1:12 to 1:15 in A they differ, by 20 dB on average over the bands."}},
		{compare.Result{Kind: compare.Gain, GainDB: 0.001, Inverted: true}, []string{
			"The same audio but for its polarity or its speed.", "B has the opposite polarity."}},
		{compare.Result{Kind: compare.Limiter, ReductionDB: -1.24, GainDB: 1}, []string{
			"Only the limiter differs, and the gain: A is limited more, by 1.2 dB in its loud moments."}},
		{compare.Result{Kind: compare.Encoder, ResidualDB: -31.4, GainDB: 0, SpeedPercent: -0.01, Differ: []compare.Span{hole}}, []string{
			"The same master, one of them through an encoder, but for one place: what differs lies 31 dB under the music. B is as loud as A.",
			"B plays 0.0100 % slower.", "From 1:12 to 1:15 in A they differ, by 20 dB on average over the bands."}},
		{compare.Result{Kind: compare.Equaliser, GainDB: 0.5, ChangeDB: []detect.Value{2, 3.5, 0.4, -1.1, detect.None}, CentreHz: []float64{80, 100, 125, 160, 200}}, []string{
			"Only the equaliser differs, and the gain: B is 0.50 dB louder than A.",
			"At equal level B has +3.5 dB at most from 80 to 100 Hz and -1.1 dB at 160 Hz."}},
		{compare.Result{Kind: compare.Mix, GainDB: 1}, []string{"The same music, mixed anew or treated in several ways: B is 1.00 dB louder than A."}},
		{compare.Result{Kind: compare.Other, Differ: []compare.Span{hole}}, []string{
			"Not the same music, or not to be laid on each other: only the figures are held side by side."}},
	} {
		if got := Compared(&c.r); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%q, want\n%q", c.r.Kind, got, c.want)
		}
	}
}

// TestOneBeatHasOneTempo: what two readings of the same beat make of it is said where they differ, octaves
// folded, and one of them cannot be the tempo of another part.
func TestOneBeatHasOneTempo(t *testing.T) {
	const said = "Both have the same beat, so that one of the two tempi (166.5 and 160.1 BPM) is wrong: tap along before you go by either."
	for name, c := range map[string]struct {
		kind                 compare.Kind
		speed, a, b, overlap detect.Value
		want                 bool
	}{
		"another tempo":        {compare.Gain, 0, 166.5, 160.1, 60, true},
		"nearly all of it":     {compare.Mix, 0, 166.5, 160.1, 54, true},
		"half of it":           {compare.Gain, 0, 166.5, 160.1, 53.9, false},
		"0.5 % apart":          {compare.Gain, 0, 128, 128.6, 60, false},
		"0.55 % apart":         {compare.Gain, 0, 128, 128.7, 60, true},
		"twice the tempo":      {compare.Same, 0, 64, 128, 60, false},
		"played faster":        {compare.Gain, 0.02, 166.5, 160.1, 60, false},
		"another piece":        {compare.Other, 0, 166.5, 160.1, 60, false},
		"one is not known":     {compare.Gain, 0, 166.5, detect.None, 60, false},
		"the speed is unknown": {compare.Mix, detect.None, 166.5, 160.1, 60, false},
	} {
		one, two := detect.Empty(), detect.Empty()
		one.Tempo.BPM, two.Tempo.BPM, one.File.DurationS, two.File.DurationS = c.a, c.b, 50, 60
		r := compare.Result{Kind: c.kind, SpeedPercent: c.speed, OverlapS: c.overlap}
		got := ComparedTracks(&r, &one, &two)
		if more := len(got) - len(Compared(&r)); more == 1 != c.want || more > 1 {
			t.Errorf("%s: %q", name, got)
		} else if c.a == 166.5 && c.want && got[len(got)-1] != said {
			t.Errorf("%s: %q, want %q", name, got[len(got)-1], said)
		}
	}
}
