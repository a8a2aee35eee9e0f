package status

import (
	"strings"
	"testing"

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
		{"Pre Someone Master.wav", tags.Tags{Artist: "Someone"}, Unknown, ""}, // nor makes its neighbours a pair
		{"The Dub Collective - Night Bus.wav", tags.Tags{Artist: "The Dub Collective"}, Unknown, ""},
		{"Promo Records/night bus.wav", tags.Tags{Label: "Promo Records"}, Unreleased, "tag label"},

		// Evidence for both.
		{"a.wav", tags.Tags{Title: "Night Bus (VIP)", ISRC: released.ISRC}, Unknown, "vip"},
		{"Promo/a.wav", released, Unknown, "promo"},
	} {
		got, evidence := Decide(Track{Path: c.path, Tags: &c.tags}, nil)
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

// TestWordsOnce: a word that stands twice is one finding.
func TestWordsOnce(t *testing.T) {
	_, found := Decide(Track{Path: "demo night demo.wav", Tags: &tags.Tags{}}, nil)
	if len(found) != 1 {
		t.Errorf("evidence %+v, want one", found)
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
		status, evidence := Decide(Track{Path: s, Tags: &tags.Tags{Title: s, Artist: s, Label: s, ISRC: s}}, nil)
		if status == "" || evidence == nil {
			t.Errorf("%q: status %q, evidence %v", s, status, evidence)
		}
	})
}
