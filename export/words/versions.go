package words

import (
	"fmt"
	"strings"

	"dubgauge/library"
)

// mostNamed is how many other versions a sentence names.
const mostNamed = 6

// Versions says what else holds the same music, which of them lies nearest to the
// references, and whether the track is an older one; empty where nothing does.
func (s Style) Versions(t *library.Track) string {
	v := t.Versions
	if v == nil || len(v.Tracks) == 0 {
		return ""
	}
	var whole, part []library.Version
	for _, o := range v.Tracks {
		if o.Part {
			part = append(part, o)
		} else {
			whole = append(whole, o)
		}
	}
	var said []string
	if len(whole) > 0 {
		said = append(said, "the same music as "+s.named(whole))
	}
	if len(part) > 0 {
		said = append(said, "some music of "+s.named(part))
	}
	switch {
	case v.Nearest == t.ID:
		said = append(said, "this one is the nearest to its references")
	case v.Nearest != 0:
		said = append(said, fmt.Sprintf("the nearest to its references is #%d %s", v.Nearest, s.text(v.NearestPath)))
	}
	if o := v.Older; o != nil {
		said = append(said, fmt.Sprintf("by its %s this one is older than #%d %s", o.By, o.Than, s.text(o.ThanPath)))
	}
	text := strings.Join(said, "; ")
	if s.stop != "" {
		text = Capital(text) + s.stop
	}
	return text
}

// named lists other versions: number, path, and how much of the music is the same.
func (s Style) named(list []library.Version) string {
	var parts []string
	for _, o := range list[:min(len(list), mostNamed)] {
		text := fmt.Sprintf("#%d %s", o.ID, s.text(o.Path))
		var about []string
		if o.Released {
			about = append(about, "released")
		}
		if o.Seconds.Exists() {
			about = append(about, s.Clock(o.Seconds)+" of it")
		}
		if len(about) > 0 {
			text += " (" + strings.Join(about, ", ") + ")"
		}
		parts = append(parts, text)
	}
	if more := len(list) - mostNamed; more > 0 {
		parts = append(parts, Counted(more, "other"))
	}
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return parts[0]
}

// VersionMark says the same in a few words, for a list; empty where nothing holds the
// same music.
func VersionMark(t *library.Track) string {
	v := t.Versions
	if v == nil || len(v.Tracks) == 0 {
		return ""
	}
	first, versions := v.Tracks[0], 1
	for _, o := range v.Tracks {
		if !o.Part {
			versions++
		}
		if first.Part && !o.Part {
			first = o
		}
	}
	switch {
	case v.Nearest == t.ID:
		return fmt.Sprintf("nearest of %d versions", versions)
	case v.Older != nil:
		return fmt.Sprintf("older version of #%d", v.Older.Than)
	case first.Part:
		return fmt.Sprintf("some music of #%d", first.ID)
	}
	return fmt.Sprintf("same music as #%d", first.ID)
}
