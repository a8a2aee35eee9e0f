package status

import (
	"testing"

	"dubgauge/library/tags"
)

// TestNamesOfPeopleInTitles: a remixer whose name begins with Dub makes no dub of a
// record, and a version number counts where more stands behind it.
func TestNamesOfPeopleInTitles(t *testing.T) {
	released := tags.Tags{ISRC: "QZABC2600001", Label: "Invented Records"}
	for _, c := range []struct {
		path, title string
		tags        tags.Tags
		want        Status
	}{
		{"Night Bus (Dub Mechanic Remix).wav", "Night Bus (Dub Mechanic Remix)", released, Released},
		{"Night Bus [Dub Mechanic Extended Mix].wav", "", released, Released},
		{"Night Bus (Dub Mechanic Remix).wav", "", tags.Tags{}, Unknown},
		{"Night Bus (Dub Remix).wav", "", released, Released},
		{"Night Bus (Dub).wav", "", released, Unknown},
		{"Night Bus (Dub) (Tin Roof Remix).wav", "", released, Unknown},
		{"Night Bus (Dub VIP Remix).wav", "", released, Unknown},
		{"Night Bus (Dub Bootleg Remix).wav", "", released, Unknown},
		{"Night Bus (Dub Mechanic Remix) v7.wav", "", tags.Tags{}, Unreleased},
		{"NightBusV7.wav", "", tags.Tags{}, Unreleased},
		{"NightBusV7 128.wav", "", tags.Tags{}, Unreleased},
		{"NightBusV7_128bpm.wav", "", tags.Tags{}, Unreleased},
		{"NightBusV7x.wav", "", tags.Tags{}, Unknown},
		{"NightBusV2024 128.wav", "", tags.Tags{}, Unknown},
	} {
		g := c.tags
		g.Title = c.title
		if got, found := Decide(Track{Path: c.path, Tags: &g}, nil); got != c.want {
			t.Errorf("%s: %s, want %s: %+v", c.path, got, c.want, found)
		}
	}
}
