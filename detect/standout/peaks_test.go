package standout

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// masters are peaks of n masters of one chain: as those of the bench and of two other makers, of
// which 4 to 13 % touch the top, give or take 1.2 to 2 dB.
func masters(n int, flatSpread float64) []peaks {
	r := rand.New(rand.NewPCG(3, uint64(n)))
	out := make([]peaks, n)
	for i := range out {
		out[i] = peaks{flat: -11.5 + flatSpread*r.NormFloat64(), over: 1 + 0.3*r.NormFloat64()}
	}
	return out
}

// made says how likely each way is by peaks that are so much more, in dB, than the middle of
// 15 masters'.
func made(t *testing.T, flatSpread, flat, over float64) func(code string, onMaster bool) float64 {
	p, _ := learnt(t)
	m := learnPeaks(masters(15, flatSpread), -1)
	f := p.favours(peaks{flat: m.lossless.flat.centre + flat, over: m.lossless.over.centre + over}, m)
	return func(code string, onMaster bool) float64 {
		for i, w := range p.ways {
			if w.code == code && w.onMaster == onMaster {
				return f.of(i)
			}
		}
		t.Fatalf("nothing is named %s", code)
		return 0
	}
}

// What a filter leaves of the peaks of a finished master, measured on 71 masters of another maker
// (medians): of a low shelf of -6 dB, of a high shelf of -8 dB, and of boosts that were limited
// again or turned down.
func TestPeaksTellOfAFilterBehindTheLimiter(t *testing.T) {
	for _, c := range []struct {
		what       string
		flat, over float64
		code       string
		least      float64
	}{
		{"a low shelf of -6 dB", -6.8, -0.17, reason.LowEndThin, 10},
		{"a low shelf of -4 dB", -6.5, -0.16, reason.LowEndThin, 10},
		{"a low shelf of -6 dB at 60 Hz", -4.5, -0.12, reason.SubThin, 4},
		{"mids of -6 dB", -10.7, -0.25, reason.Hollow, 10},
		{"a high shelf of -8 dB", -1.7, -0.95, reason.TopDull, 3},
		{"a low shelf of +6 dB, limited", 4.4, 0, reason.LowEndHeavy, 2},
		{"a low shelf of +6 dB, turned down", -14.8, -0.8, reason.LowEndHeavy, 5},
		{"a high shelf of +8 dB, limited", 0.8, 1.66, reason.TopBright, 3},
	} {
		f := made(t, 1.3, c.flat, c.over)
		if got := f(c.code, true); got < c.least {
			t.Errorf("%s: %s is %.1f times likelier, want %g", c.what, c.code, got, c.least)
		}
		if got := f(c.code, false); got != 1 {
			t.Errorf("%s: in the mix %s is %.2f times likelier: the peaks tell nothing of it", c.what, c.code, got)
		}
	}
	// The opposite: peaks as they are in the middle speak against a filter.
	f := made(t, 1.3, 0, 0)
	for _, code := range []string{reason.LowEndThin, reason.Hollow, reason.TopDull, reason.TopBright} {
		if got := f(code, true); got > 0.6 {
			t.Errorf("peaks as the references': %s is %.2f times likelier", code, got)
		}
	}
}

// Records of many hands differ so much in their peaks that little is told by them.
func TestPeaksOfManyHandsTellLittle(t *testing.T) {
	for _, off := range []float64{-6.5, -3, 0, 3} {
		f := made(t, 6, off, 0)
		for _, code := range []string{reason.LowEndThin, reason.SubThin, reason.LowEndHeavy} {
			if got := f(code, true); got > 4 || got < 0.25 {
				t.Errorf("%g dB off: %s is %.2f times likelier", off, code, got)
			}
		}
	}
}

// Whatever the peaks are, they say no more than that one master in a few is made otherwise.
func TestPeaksAloneNameNothing(t *testing.T) {
	p, middle := learnt(t)
	m := learnPeaks(masters(15, 1.3), -1)
	d := make([]float64, len(p.index))
	for flat := -27.0; flat <= 0; flat += 0.5 {
		for over := 0.0; over <= 6; over += 0.25 {
			f := p.favours(peaks{flat: flat, over: over}, m)
			for i, by := range f.ways {
				if !(by >= again && by < 300) {
					t.Fatalf("%g and %g dB: %s is %g times likelier", flat, over, p.ways[i].code, by)
				}
			}
			if found, _ := p.tones(middle, f, kinship{}); len(found) > 0 {
				t.Fatalf("%g and %g dB: %s in a balance like the references'", flat, over, found[0].Code)
			}
			_, with := p.weighed(d, f)
			if with != 0 {
				t.Fatalf("%g and %g dB: odds %g", flat, over, with)
			}
		}
	}
}

// A low shelf that is met in clean records too is named where the peaks show a filter, and has to be
// grosser where they do not: by how many dB, in steps of 0.1.
func TestPeaksDecideWhatTheBalanceLeavesOpen(t *testing.T) {
	p, ok := predict(spreadOut(12, 1), nil, everyFigure.index(), 0)
	if !ok {
		t.Fatal("no prediction")
	}
	m := learnPeaks(masters(15, 1.3), -1)
	w := &p.ways[slices.IndexFunc(p.ways, func(w way) bool { return w.code == reason.LowEndThin && w.onMaster })]
	least := func(f *favours, behind bool) float64 {
		for dB := 1.5; dB < 12; dB += 0.1 {
			x := tone{}
			for i, figure := range p.index {
				x[figure] = p.centre[i] - dB*w.effect[i]
			}
			if found, _ := p.tones(x, f, kinship{}); len(found) > 0 {
				if found[0].Code != reason.LowEndThin || found[0].behind != behind {
					t.Errorf("%.1f dB: %s, behind the limiter: %v", dB, found[0].Code, found[0].behind)
				}
				return dB
			}
		}
		return 12
	}
	centre := peaks{flat: m.lossless.flat.centre, over: m.lossless.over.centre}
	cut := peaks{flat: centre.flat - 6.5, over: centre.over - 0.16}
	shown, unknown, not := least(p.favours(cut, m), true), least(nil, false), least(p.favours(centre, m), false)
	t.Logf("named from %.1f dB where the peaks show it, %.1f where they are not known, %.1f where they do not", shown, unknown, not)
	if !(shown < 0.8*unknown && unknown < not) {
		t.Errorf("named from %.1f dB where the peaks show it, %.1f where they are not known, %.1f where they do not", shown, unknown, not)
	}
}

// An encoder moves the peaks: lossy tracks are held against lossy references or not at all, and
// where nothing is flat in them nothing can go.
func TestPeaksOfLossyTracks(t *testing.T) {
	p, _ := learnt(t)
	refs := masters(15, 1.3)
	if p.favours(peaks{flat: -18, over: 1, lossy: true}, learnPeaks(refs, -1)) != nil {
		t.Error("a lossy track is held against lossless references")
	}
	for i := range refs {
		refs[i] = peaks{flat: 10 * math.Log10(leastFlat), over: 0.1, lossy: true}
	}
	m := learnPeaks(refs, -1)
	if m.lossless != nil {
		t.Error("lossless masters are known of lossy ones")
	}
	for i, by := range p.favours(refs[0], m).ways {
		if w := p.ways[i]; w.sign < 0 && (by < 0.8 || by > 1.25) {
			t.Errorf("%s is %.2f times likelier where no top was ever flat", w.code, by)
		}
	}
	var transcode = Track{True: -0.2, SamplePeak: -0.4, Limiting: &detect.Limiting{FlatShare: 0.06},
		Faults: []detect.Fault{{Kind: string(reason.Transcode)}}}
	if !transcode.peaks().lossy {
		t.Error("a transcode counts as lossless")
	}
}

// By hand from the definition: 10 log10(0.06 + 0.002) = -12.08; a gain changes none of it.
func TestPeaksOfATrack(t *testing.T) {
	for _, gain := range []detect.Value{0, -3, 2} {
		x := Track{Level: -7 + gain, True: 0.5 + gain, SamplePeak: -0.3 + gain, Limiting: &detect.Limiting{FlatShare: 0.06}}
		if got := x.peaks(); math.Abs(got.flat+12.076) > 0.001 || math.Abs(got.over-0.8) > 1e-9 || !got.exist() {
			t.Errorf("%+v", got)
		}
	}
	unknown := Track{True: detect.None, SamplePeak: -0.3, Limiting: &detect.Limiting{FlatShare: 0.06}}
	if (&Track{True: 0, SamplePeak: 0}).peaks().exist() || unknown.peaks().exist() {
		t.Error("peaks that were not measured exist")
	}
}

// Four tell how masters of a kind are made, three do not; a reference does not tell of itself.
func TestFewTellOfPeaks(t *testing.T) {
	refs := masters(4, 1.3)
	if learnPeaks(refs, -1).lossless == nil || learnPeaks(refs, 2).lossless != nil || learnPeaks(nil, -1).lossless != nil {
		t.Error("so few as three serve, or four do not")
	}
	refs = append(refs, peaks{flat: math.NaN(), over: 1})
	if learnPeaks(refs, 0).lossless != nil {
		t.Error("peaks that were not measured serve")
	}
}

// limited is a track as random draws it, with this share flat and peaks of one chain.
func limited(r *rand.Rand, id int64, flat float64) Track {
	t := random(r, id, 1)
	t.SamplePeak, t.Limiting = t.True-1, &detect.Limiting{FlatShare: detect.Value(flat * math.Exp(0.3*r.NormFloat64()))}
	return t
}

// The same low shelf of -4 dB on a master, beside eight references: far more of them are flagged,
// and their sentences say why, where it was made behind the limiter; of clean tracks no more. In lossy
// copies, or where nothing is known of the peaks, as many as without.
func TestPeaksInTheJudgement(t *testing.T) {
	const trials = 400
	r := rand.New(rand.NewPCG(17, 4))
	flagged, clean, lossy, unknown, said := 0, 0, 0, 0, 0
	shelf := done[2].effect // of -6 dB
	for range trials {
		refs := make([]Track, 8)
		for i := range refs {
			refs[i] = limited(r, int64(i), 0.06)
			refs[i].Reference = true
		}
		j, x := New(refs, Options{}), limited(r, 99, 0.06)
		if j.Judge(x).Verdict != Ready {
			clean++
		}
		x.Balance = shaped(x.Balance, 4.0/6, shelf)
		x.Level += detect.Value(shelf[loud] * 4 / 6)
		x.Limiting = &detect.Limiting{FlatShare: x.Limiting.FlatShare * 0.22}
		got := j.Judge(x)
		if slices.Contains(got.Reasons, reason.LowEndThin) || slices.Contains(got.Reasons, reason.SubThin) {
			flagged++
			if strings.Contains(strings.Join(got.Notes, " "), "hit the top less often") {
				said++
			}
		}
		named := func(x Track) int {
			got := j.Judge(x)
			if slices.Contains(got.Reasons, reason.LowEndThin) || slices.Contains(got.Reasons, reason.SubThin) {
				return 1
			}
			return 0
		}
		copied := x
		copied.Lossy = true
		lossy += named(copied)
		x.Limiting = nil
		unknown += named(x)
	}
	t.Logf("of %d: %d named, %d with the reason; %d of lossy ones, %d where the peaks are not known; %d clean ones flagged", trials, flagged, said, lossy, unknown, clean)
	if flagged < unknown*3/2 || said < flagged*9/10 || lossy != unknown || clean > trials*6/100 {
		t.Errorf("of %d: %d named, %d with the reason; %d of lossy ones, %d where the peaks are not known; %d clean ones flagged", trials, flagged, said, lossy, unknown, clean)
	}
}
