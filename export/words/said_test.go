package words

import (
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// What a library and a track are said to be, case by case.
func TestWhatIsSaid(t *testing.T) {
	refs := make([]*library.Track, standout.MinGroup)
	for i := range refs {
		refs[i] = &library.Track{}
	}
	named := &library.Track{Marks: library.Marks{Reference: true}}
	ceiling := -1.0
	track := func(change func(*library.Track)) *library.Track {
		x := madeup.Track(1, "a.wav", -8)
		change(&x)
		return &x
	}
	differ := library.Evidence{For: library.Unknown, What: `title "Night Bus" in ID3v2, "Day Bus" in APEv2`, Where: "tags differ"}
	found := []library.Evidence{{For: library.Released, What: "ISRC QZABC2600001", Where: "tag isrc"}}
	for _, c := range []struct{ name, got, want string }{
		{"enough references", HeldAgainst(9, refs), "9 tracks, held against 5 released tracks, each against those most like it in tempo and rhythm."},
		{"too few", HeldAgainst(1, refs[:4]), "1 track, held against fixed values (common practice, no source): 4 released tracks are too few for statistics."},
		{"named", HeldAgainst(9, []*library.Track{named, named}), "9 tracks, held against 2 references named by hand."},
		{"ceiling", Ceiling(standout.Options{}) + Ceiling(standout.Options{Ceiling: &ceiling}), "\u22120.3\u22121.0"},
		{"ignored", Verdict(track(func(x *library.Track) { x.Marks.Ignore = true })), "Ignored"},
		{"verdict", Verdict(track(func(x *library.Track) { x.Verdict = standout.HoldBack })), "Hold back"},
		{"ready", Sentence(track(func(x *library.Track) {
			x.Deviations = []standout.Deviation{{Quantity: standout.LowEnd, DB: 0.5}}
		})), "Sits with its references: \u22121.0 LU in level, +0.5 dB in the low end."},
		{"ready without references", Sentence(track(func(x *library.Track) { x.Reference.Basis, x.Reference.LUFS = "fixed", -7 })),
			"Nothing stands out: \u22121.0 LU in level from the fixed value of \u22127.0 LUFS (common practice, no source), as there are too few references."},
		{"nothing to say", Sentence(track(func(x *library.Track) { x.MismatchDB = detect.None })), "Nothing to hold against its references."},
		{"first note", Sentence(track(func(x *library.Track) { x.Notes = []string{"Off by -3 dB.", "More."} })), "Off by \u22123 dB."},
		{"by mark", Decided(track(func(x *library.Track) { x.Marks = library.Marks{Status: library.Released, Reference: true} })),
			"You marked it as released. You named it as a reference."},
		{"by evidence", Decided(track(func(x *library.Track) { x.Evidence = found })), "Unreleased, from what was found:"},
		{"no trim", Plain.TrimWords(track(func(x *library.Track) { x.Trim.TrimDB = detect.None })), "No trim: there is no level to go by."},
		{"evidence", Evidence(found[0]), "Released: ISRC QZABC2600001 (tag isrc)"},
		{"a conflict", Evidence(differ), `Conflict: title "Night Bus" in ID3v2, "Day Bus" in APEv2 (tags differ)`},
		{"a conflict in a line", EvidenceLine(track(func(x *library.Track) { x.Evidence = []library.Evidence{differ} })), `title "Night Bus" in ID3v2, "Day Bus" in APEv2 (tags differ)`},
		{"a conflict and nothing else", Decided(track(func(x *library.Track) { x.Status, x.Evidence = library.Unknown, []library.Evidence{differ} })), "Unknown: nothing says whether it came out. It is judged, but never serves as a reference."},
		{"evidence in a line", EvidenceLine(track(func(x *library.Track) { x.Evidence = found })), "ISRC QZABC2600001 (tag isrc, speaks for released)"},
		{"no evidence", EvidenceLine(track(func(*library.Track) {})), "nothing in tags or names tells"},
		{"channels", channels(1) + channels(2) + channels(6), "monostereo6 channels"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.name, c.got, c.want)
		}
	}
	nothing := Decided(track(func(x *library.Track) { x.Status = library.Unknown }))
	both := Decided(track(func(x *library.Track) { x.Status, x.Evidence = library.Unknown, found }))
	if !strings.Contains(nothing, "nothing says") || !strings.Contains(both, "points both ways") {
		t.Errorf("unknown tracks: %q, %q", nothing, both)
	}
}
