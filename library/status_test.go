package library

import (
	"context"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/tags"
)

// TestStatus: what a DJ would say of each. The words are the trade's common
// usage, no source; the form of an ISRC is that of ISO 3901.
func TestStatus(t *testing.T) {
	released := tags.Tags{ISRC: "QZABC2600001", Label: "Invented Records"}
	titled := func(title string) tags.Tags { return tags.Tags{Title: title} }
	for _, c := range []struct {
		path string
		tags tags.Tags
		want Status
		says string // part of the evidence; empty for none
	}{
		{"a.wav", tags.Tags{}, Unknown, ""},
		{"a.wav", tags.Tags{ISRC: "QZABC2600001"}, Released, "tag isrc"},
		{"a.wav", tags.Tags{ISRC: "QZ-ABC-26-00001"}, Released, "tag isrc"},
		{"a.wav", tags.Tags{ISRC: "qzabc2600001; qzabc2600002"}, Released, "tag isrc"},
		{"a.wav", tags.Tags{ISRC: "0"}, Unknown, ""},
		{"a.wav", tags.Tags{ISRC: "QZABC26000012"}, Unknown, ""},
		{"a.wav", tags.Tags{ISRC: "12ABC2600001"}, Unknown, ""},
		{"a.wav", tags.Tags{Label: "Invented Records"}, Released, "tag label"},
		{"a.wav", tags.Tags{Label: "n/a"}, Unknown, ""},
		{"a.wav", tags.Tags{Label: "Not On Label"}, Unknown, ""},
		{"a.wav", tags.Tags{Label: "White Label"}, Unreleased, "white label"},
		{"a.wav", tags.Tags{Label: "unreleased"}, Unreleased, "tag label"},
		{"a.wav", tags.Tags{CatalogueNumber: "INV 012"}, Released, "catalogue number INV 012"},
		{"a.wav", tags.Tags{Album: "Night Lines", Year: 2021}, Released, "album Night Lines, 2021"},
		{"a.wav", tags.Tags{Album: "Night Lines"}, Unknown, ""},
		{"a.wav", tags.Tags{Year: 2021}, Unknown, ""},
		{"a.wav", tags.Tags{Album: "Unreleased Demos", Year: 2021}, Unreleased, "tag album"},
		{"a.wav", tags.Tags{Album: "King of Dub", Year: 1999}, Released, "tag album"},

		{"night bus bootleg.wav", tags.Tags{}, Unreleased, `the word "bootleg", file name`},
		{"Night_Bus_(BOOTLEG).wav", tags.Tags{}, Unreleased, "bootleg"},
		{"Dubs/night bus.wav", tags.Tags{}, Unreleased, `the word "dubs", folder`},
		{"x/Dubplates 2026/night bus.wav", tags.Tags{}, Unreleased, "dubplates"},
		{"a.wav", titled("Night Bus (VIP)"), Unreleased, `the word "vip", title`},
		{"a.wav", titled("Night Bus (Rework)"), Unreleased, "rework"},
		{"a.wav", titled("Night Bus [Mash Up]"), Unreleased, "mashup"},
		{"a.wav", titled("Night Bus (Someone's Edit)"), Unreleased, "edit"},
		{"a.wav", titled("Night Bus (Re-Edit)"), Unreleased, "edit"},
		{"night bus unmastered.wav", tags.Tags{}, Unreleased, "unmastered"},
		{"night bus pre-master.wav", tags.Tags{}, Unreleased, "premaster"},
		{"night bus WIP.wav", tags.Tags{}, Unreleased, "wip"},
		{"night bus demo.wav", tags.Tags{}, Unreleased, "demo"},
		{"Promo/night bus.mp3", tags.Tags{}, Unreleased, "promo"},
		{"Forthcoming/night bus.mp3", tags.Tags{}, Unreleased, "forthcoming"},
		{"night-bus-v7.wav", tags.Tags{}, Unreleased, `"v7"`},
		{"NightBusV12.wav", tags.Tags{}, Unreleased, `"v12"`},
		{"night bus master 3.wav", tags.Tags{}, Unreleased, `"master 3"`},
		{"night_bus_master_3.wav", tags.Tags{}, Unreleased, `"master 3"`},
		{"night_bus_master3.wav", tags.Tags{}, Unreleased, `"master3"`},

		// Words that only look like it.
		{"Dublin/Edith - The Editor.wav", tags.Tags{}, Unknown, ""},
		{"Demons.wav", titled("Demons"), Unknown, ""},
		{"Promenade, Wiped, Vipers, Edited.wav", tags.Tags{}, Unknown, ""},
		{"Dubstep/night bus.wav", tags.Tags{}, Unknown, ""},
		{"Dub Techno/night bus.wav", tags.Tags{}, Unknown, ""},
		{"night bus [V0].mp3", tags.Tags{}, Unknown, ""}, // an encoder's setting
		{"night bus vol 7.wav", tags.Tags{}, Unknown, ""},
		{"Masters 2024/The Master.wav", tags.Tags{}, Unknown, ""},
		{"mastermind.wav", tags.Tags{}, Unknown, ""},
		{"a.demo", tags.Tags{}, Unknown, ""}, // an ending

		// Names of released versions are no evidence either way.
		{"a.wav", titled("Night Bus (Radio Edit)"), Unknown, ""},
		{"a.wav", titled("Night Bus (Extended Edit)"), Unknown, ""},
		{"a.wav", titled("Night Bus (Original Mix)"), Unknown, ""},
		{"a.wav", titled("Night Bus (Someone Remix)"), Unknown, ""},
		{"a.wav", titled("Night Bus (Dub Mix)"), Unknown, ""},
		{"night bus (radio edit).wav", tags.Tags{Title: "Night Bus (Radio Edit)", ISRC: released.ISRC, Label: released.Label}, Released, "tag label"},

		// An artist or label that is called so says nothing.
		{"The Dub Collective - Night Bus.wav", tags.Tags{Artist: "The Dub Collective"}, Unknown, ""},
		{"Promo Records/night bus.wav", tags.Tags{Label: "Promo Records"}, Unreleased, "tag label"},

		// Evidence for both.
		{"a.wav", tags.Tags{Title: "Night Bus (VIP)", ISRC: released.ISRC}, Unknown, "vip"},
		{"Promo/a.wav", released, Unknown, "promo"},
	} {
		tr := &Track{Record: Record{Path: c.path, Tags: c.tags}}
		got, evidence := decide(tr, nil)
		all := []string{}
		for _, e := range evidence {
			all = append(all, e.What+", "+e.Where)
		}
		text := strings.Join(all, "; ")
		if got != c.want || !strings.Contains(text, c.says) || (c.says == "") != (text == "") {
			t.Errorf("%s %+v: %s because of %q; want %s because of %q", c.path, c.tags, got, text, c.want, c.says)
		}
	}
}

func TestMarksAndPatternsOverrule(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	ctx := context.Background()
	status := func(path string) Status { return byPath(t, db, path).Status }
	scanCounted(t, db, ScanOptions{}, dir)
	if got := status("House/c v7.wav"); got != Unreleased {
		t.Fatalf("c v7 is %s by its name, want unreleased", got)
	}
	scanCounted(t, db, ScanOptions{Released: []string{"House/"}, Unreleased: []string{"**/b.*", "./a.wav"}}, dir)
	want := map[string]Status{"House/c v7.wav": Released, "House/b.wav": Unknown, "a.wav": Unreleased, "Dubs/d.flac": Unreleased, "no ending": Unknown}
	for path, s := range want {
		if got := status(path); got != s {
			t.Errorf("with patterns %s is %s, want %s: %+v", path, got, s, byPath(t, db, path).Evidence)
		}
	}
	scanCounted(t, db, ScanOptions{}, dir) // remembered
	if got := status("a.wav"); got != Unreleased {
		t.Errorf("the scan after it: a.wav is %s", got)
	}
	a := byPath(t, db, "a.wav")
	before, err := db.SetMarks(ctx, []int64{a.ID}, func(m Marks) Marks { m.Status = Released; return m })
	if err != nil {
		t.Fatal(err)
	}
	if got := byPath(t, db, "a.wav"); got.Status != Released || got.Evidence[0].Where != "mark" || len(got.Evidence) != 2 {
		t.Errorf("marked: %s, %+v", got.Status, got.Evidence)
	}
	if diff := cmp.Diff(map[int64]Marks{a.ID: {}}, before); diff != "" {
		t.Errorf("marks before:\n%s", diff)
	}
	if _, err := db.SetMarks(ctx, []int64{a.ID}, func(Marks) Marks { return before[a.ID] }); err != nil {
		t.Fatal(err)
	}
	scanCounted(t, db, ScanOptions{Released: []string{""}}, dir) // cleared
	if got := status("a.wav"); got != Unknown {
		t.Errorf("undone and cleared: a.wav is %s, want unknown", got)
	}
}

func TestSetMarksAllOrNothing(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	scanCounted(t, db, ScanOptions{}, dir)
	a := byPath(t, db, "a.wav")
	ctx := context.Background()
	if _, err := db.SetMarks(ctx, []int64{a.ID, 999}, func(m Marks) Marks { m.Ignore = true; return m }); !errors.Is(err, ErrNoTrack) {
		t.Errorf("unknown number: error %v", err)
	}
	if _, err := db.SetMarks(ctx, []int64{a.ID}, func(m Marks) Marks { m.Status = "gold"; return m }); err == nil {
		t.Error("a status of no meaning was stored")
	}
	if m := byPath(t, db, "a.wav").Marks; m != (Marks{}) {
		t.Errorf("marks %+v, want none", m)
	}
	if _, err := db.SetMarks(ctx, []int64{a.ID, a.ID}, func(m Marks) Marks { m.Ignore = !m.Ignore; return m }); err != nil {
		t.Fatal(err)
	}
	for _, o := range []TrackOptions{{}, {IncludeIgnored: true}} {
		tracks := tracksOf(t, db, o)
		if want := map[bool]int{false: 4, true: 5}[o.IncludeIgnored]; len(tracks) != want {
			t.Errorf("%+v: %d tracks, want %d", o, len(tracks), want)
		}
	}
	if v := byPath(t, db, "a.wav").Verdict; v != "" {
		t.Errorf("an ignored track has the verdict %q", v)
	}
}

func TestFind(t *testing.T) {
	dir, db := smallLibrary(t), openTemp(t)
	scanCounted(t, db, ScanOptions{}, dir)
	b := byPath(t, db, "House/b.wav")
	t.Chdir(dir)
	for _, c := range []struct {
		query string
		want  []string
	}{
		{"House/b.wav", []string{"House/b.wav"}},
		{"./House/b.wav", []string{"House/b.wav"}},
		{b.DiskPath(), []string{"House/b.wav"}},
		{"b.wav", []string{"House/b.wav"}},
		{"B.WAV", []string{"House/b.wav"}},
		{"#" + itoa(b.ID), []string{"House/b.wav"}},
		{"#999", nil},
		{"house", []string{"House/b.wav", "House/c v7.wav"}},
		{"v7 c", []string{"House/c v7.wav"}},
		{"wav", []string{"House/b.wav", "House/c v7.wav", "a.wav"}},
		{"nothing like it", nil},
		{"", nil},
	} {
		found, err := db.Find(context.Background(), c.query)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, tr := range found {
			got = append(got, tr.Path)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%q (-want +got):\n%s", c.query, diff)
		}
	}
	if _, err := db.Track(context.Background(), 999); !errors.Is(err, ErrNoTrack) {
		t.Errorf("error %v, want %v", err, ErrNoTrack)
	}
}

func FuzzWords(f *testing.F) {
	f.Add("night_bus_Master 3 (Re-Edit) NightBusV7.wav")
	f.Add("\xff\xfe \u0130\u0301V7")
	f.Fuzz(func(t *testing.T, s string) {
		for _, w := range wordsOf(s) {
			if w == "" || strings.ContainsAny(w, " _-./()") {
				t.Errorf("%q has the word %q", s, w)
			}
		}
		status, evidence := decide(&Track{Record: Record{Path: s, Tags: tags.Tags{Title: s, Artist: s, Label: s, ISRC: s}}}, nil)
		if status == "" || evidence == nil {
			t.Errorf("%q: status %q, evidence %v", s, status, evidence)
		}
	})
}
