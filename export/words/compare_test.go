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
