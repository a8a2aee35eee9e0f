package status

import (
	"strings"
	"testing"

	"dubgauge/library/tags"
)

// TestSourcesAlone: what speaks for a release stands together in one tag or is none.
func TestSourcesAlone(t *testing.T) {
	id3 := func(s tags.Source) tags.Source { s.Form = "ID3v2"; return s }
	ape := func(s tags.Source) tags.Source { s.Form = "APEv2"; return s }
	old := func(s tags.Source) tags.Source { s.Form = "ID3v1"; return s }
	list := func(all ...tags.Source) []tags.Source { return all }
	whole := tags.Source{Title: "Night Bus", Album: "Night Lines", Year: 2021, Label: "Invented Records", ISRC: "QZABC2600001"}
	titled := func(title string) tags.Source { return tags.Source{Title: title} }
	for _, c := range []struct {
		name string
		all  []tags.Source
		want Status
		says string
		not  string
	}{
		{"label, album and year in three", list(id3(tags.Source{Label: "Invented Records"}), ape(tags.Source{Album: "Night Lines"}), old(tags.Source{Year: 2021})), Unknown, "", "label"},
		{"label in one, year in the other", list(id3(tags.Source{Label: "Invented Records"}), old(tags.Source{Year: 2021})), Unknown, "", "label"},
		{"label in one, album in the other", list(ape(tags.Source{Album: "Night Lines"}), id3(tags.Source{Label: "Invented Records"})), Unknown, "", "label"},
		{"album and year apart", list(id3(tags.Source{Album: "Night Lines"}), old(tags.Source{Year: 2021})), Unknown, "", "album"},
		{"all in the first", list(id3(whole), old(tags.Source{Year: 2020})), Released, "album Night Lines, 2021, tag album", "2020"},
		{"all in the last", list(id3(titled("Night Bus")), ape(whole)), Released, "label Invented Records", "recordings"},
		{"label with its year", list(id3(tags.Source{Label: "Invented Records", Year: 2021}), old(tags.Source{Album: "Night Lines"})), Released, "tag label", "album"},
		{"label with its album", list(id3(tags.Source{Label: "Invented Records", Album: "Night Lines"}), old(tags.Source{Year: 2021})), Released, "tag label", "2021"},
		{"label, and a title elsewhere", list(id3(tags.Source{Label: "Invented Records"}), old(titled("Night Bus"))), Released, "tag label", ""},
		{"the same said twice", list(id3(whole), ape(whole)), Released, "ISRC", "differ"},
		{"another artist", list(id3(tags.Source{Artist: "Someone", ISRC: whole.ISRC}), ape(tags.Source{Artist: "Nobody", ISRC: whole.ISRC})), Released,
			`artist "Someone" in ID3v2, "Nobody" in APEv2, tags differ`, "recordings"},
		{"another ISRC and label", list(id3(whole), ape(tags.Source{Label: "Other Pressings", ISRC: "QZABC2600002", Year: 2021})), Released, `ISRC "QZABC2600001" in ID3v2`, ""},
		{"another year", list(id3(whole), old(tags.Source{Title: "Night Bus", Year: 1999})), Released, "", "differ"},
		{"another title, which came out too", list(id3(whole), ape(tags.Source{Title: "Day Bus", ISRC: "QZABC2600002"})), Released, `title "Night Bus" in ID3v2, "Day Bus" in APEv2`, "recordings"},
		{"another title, which did not", list(id3(whole), ape(titled("Day Bus"))), Unknown, "only one of them speaks for released, tags of two recordings", ""},
		{"another title, the first of which did not", list(id3(titled("Day Bus")), ape(whole)), Unknown, "tags of two recordings", ""},
		{"a version behind the title", list(id3(whole), old(titled("Night Bus (Original Mix)"))), Released, `title "Night Bus"`, "recordings"},
		{"a version in front", list(id3(tags.Source{Title: "Night Bus (Original Mix)", ISRC: whole.ISRC}), old(titled("night bus"))), Released, "", "recordings"},
		{"accents lost", list(id3(tags.Source{Title: "Caf\u00e9", ISRC: whole.ISRC}), old(titled("Cafe"))), Released, "", "recordings"},
		{"letters lost", list(id3(tags.Source{Title: "\u041d\u043e\u0447\u044c 7", ISRC: whole.ISRC}), old(titled("???? 8"))), Released, "", "recordings"},
		{"a letter lost", list(id3(tags.Source{Title: "Bj\u00f6rn", ISRC: whole.ISRC}), old(titled("Bj?rn"))), Released, "", "recordings"},
		{"another title with accents", list(id3(whole), ape(titled("Caf\u00e9"))), Unknown, "recordings", ""},
		{"three titles", list(id3(titled("Night Bus")), ape(titled("Day Bus")), old(titled("Last Bus"))), Unknown, "Day Bus", "Last Bus"},
		{"a bootleg in the second title", list(id3(whole), old(titled("Night Bus (Someone Bootleg)"))), Unknown, "bootleg", ""},
		{"white label in the second", list(id3(whole), ape(tags.Source{Title: "Night Bus", Label: "White Label"})), Unknown, "white label", ""},
		{"nothing but other titles", list(id3(titled("Night Bus")), ape(titled("Day Bus"))), Unknown, "tags differ", "recordings"},
	} {
		g := tags.Tags{Title: c.all[0].Title, Sources: c.all}
		got, evidence := Decide(Track{Path: "a.mp3", Tags: &g}, nil)
		text := ""
		for _, e := range evidence {
			text += e.What + ", " + e.Where + "; "
		}
		if got != c.want || !strings.Contains(text, c.says) || c.not != "" && strings.Contains(text, c.not) {
			t.Errorf("%s: %s because of %q; want %s, %q and not %q", c.name, got, text, c.want, c.says, c.not)
		}
	}
}

// TestMarkOverConflict: a mark and a pattern overrule what tags say against each other.
func TestMarkOverConflict(t *testing.T) {
	g := tags.Tags{Sources: []tags.Source{{Form: "ID3v2", Title: "Night Bus", ISRC: "QZABC2600001"}, {Form: "APEv2", Title: "Day Bus"}}}
	if got, _ := Decide(Track{Path: "a.mp3", Tags: &g, Mark: Released}, nil); got != Released {
		t.Errorf("marked: %s", got)
	}
	if got, _ := Decide(Track{Path: "a.mp3", Tags: &g}, []Evidence{{Released, "the pattern *", "glob"}}); got != Released {
		t.Errorf("by a pattern: %s", got)
	}
}
