package standout

import (
	"slices"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// faulted is an ordinary track with these faults.
func faulted(faults ...detect.Fault) Track {
	t := plain(99, -8)
	t.Faults = faults
	return t
}

func fault(k reason.Kind, at detect.Value, detail string) detect.Fault {
	return detect.Fault{Kind: string(k), AtS: at, Detail: detail}
}

// clicks are n of them, the first at a place. Their words begin with another figure: it is the
// number that is gone by.
func clicks(k reason.Kind, at detect.Value, n int) detect.Fault {
	f := fault(k, at, "1 channel jumps")
	f.Count = n
	return f
}

// TestOneSentenceForCauseAndConsequence: what a fault brings with it is not said beside it, and
// is said where it has another cause, lies elsewhere, or is graver.
func TestOneSentenceForCauseAndConsequence(t *testing.T) {
	none := detect.None
	skip := fault(reason.Jump, 50, "the beat goes on 24 ms off")
	drifting := faulted(skip)
	drifting.DriftPercent = 1.5
	drifts, wavers, slight := faulted(), faulted(fault(reason.Wow, none, "wow")), faulted(fault(reason.WowSlight, none, "wow"))
	drifts.DriftPercent, wavers.DriftPercent, slight.DriftPercent = 1.5, 1.5, 1.5
	mono := func(loss detect.Value, faults ...detect.Fault) Track {
		t := faulted(faults...)
		t.Mono = loss
		return t
	}
	broken := faulted(fault(reason.CutEnd, 236, "ends in sound"), fault(reason.Hole, 120, "zeros"))
	broken.Problem = &detect.Problem{Kind: reason.ProblemTruncated, Detail: "ends early"}
	for name, c := range map[string]struct {
		track Track
		want  []string
	}{
		"a skip, and a drift that comes from it": {drifting, []string{"skip"}},
		"a drift":                                {drifts, []string{"tempo drift"}},
		"wow, and its drift":                     {wavers, []string{"wow"}},
		"a slight wow, and a drift":              {slight, []string{"wow", "tempo drift"}},
		"a skip and the jump at it":              {faulted(skip, clicks(reason.ClicksFew, 51.9, 1)), []string{"skip"}},
		"a skip and a jump elsewhere":            {faulted(skip, clicks(reason.ClicksFew, 52.1, 1)), []string{"clicks", "skip"}},
		"a skip and jumps":                       {faulted(skip, clicks(reason.ClicksFew, 50, 12)), []string{"clicks", "skip"}},
		"a skip and a graver click":              {faulted(skip, clicks(reason.Click, 50, 1)), []string{"click", "skip"}},
		"a repeat and a click":                   {faulted(fault(reason.Repeat, 50, "twice"), clicks(reason.Click, 50, 1)), []string{"skip"}},
		"truncated, and cut":                     {faulted(fault(reason.Truncated, 236, "ends early"), fault(reason.CutEnd, 236, "ends in sound")), []string{"truncated"}},
		"truncated by the reader, and cut":       {broken, []string{"hole", "truncated"}},
		"a cut end":                              {faulted(fault(reason.CutEnd, 236, "ends in sound")), []string{"cut end"}},
		"damaged, a hole in it and one elsewhere": {faulted(fault(reason.Damaged, 121, "pages missing"), fault(reason.Hole, 120, "zeros"), skip),
			[]string{"damaged", "skip"}},
		"damaged nobody knows where, and a hole": {faulted(fault(reason.Damaged, none, "frames missing"), fault(reason.Hole, 20, "zeros")), []string{"damaged"}},
		"the end missing, and silence":           {faulted(fault(reason.HoleEnd, 100, "zeros"), fault(reason.LongEnd, 100, "silence")), []string{"hole"}},
		"a long silence":                         {faulted(fault(reason.LongEnd, 100, "silence")), []string{"silence"}},
		"upside down":                            {mono(-60, fault(reason.Polarity, none, "correlation -1")), []string{"polarity"}},
		"one side":                               {mono(-3.04, fault(reason.DeadChannel, none, "dead")), []string{"dead channel"}},
		"one side, and a low end upside down":    {mono(-9, fault(reason.DeadPart, 100, "dead")), []string{"dead channel", "mono loss"}},
		"a weak side":                            {mono(-2.9, fault(reason.WeakChannel, none, "weak")), []string{"weak channel"}},
		"a low end upside down":                  {mono(-9), []string{"mono loss"}},
	} {
		j := New(pool(12, -8), Options{})
		got := j.Judge(c.track)
		reasons := slices.DeleteFunc(slices.Clone(got.Reasons), func(s string) bool { return s == reason.Unlike })
		slices.Sort(reasons)
		slices.Sort(c.want)
		if !slices.Equal(reasons, c.want) {
			t.Errorf("%s: %q, want %q", name, reasons, c.want)
		}
	}
}

// TestFaultsOfAKindTogether: what was found is listed with its places, and what it does and what to do
// about it stands there once.
func TestFaultsOfAKindTogether(t *testing.T) {
	track := faulted(fault(reason.Damaged, detect.None, "ffmpeg: checksum"), fault(reason.Damaged, 121, "9 bytes are no page"),
		fault(reason.FormatNewer, detect.None, "96 kHz"), fault(reason.Damaged, 121, "9 bytes are no page"), fault(reason.Damaged, 130, ""))
	judge := New(pool(12, -8), Options{})
	got := judge.Judge(track)
	want := "ffmpeg: checksum; 9 bytes are no page (at 2:01). Parts of the file cannot be decoded: expect gaps, noise, or a player that stops. Copy the file again from its source."
	if len(got.Notes) == 0 || got.Notes[0] != want || strings.Contains(strings.Join(got.Notes, " "), "96 kHz") {
		t.Errorf("%q\nwant %q", got.Notes, want)
	}
	if got := judge.Judge(faulted(fault(reason.Damaged, 121, "9 bytes are no page"))); !strings.HasPrefix(got.Notes[0], "9 bytes are no page (at 2:01). Parts") {
		t.Error(got.Notes)
	}
}
