package words

import (
	"fmt"
	"path"
	"strings"

	"dubgauge/library"
)

// Entry is what an entry of a list is called: as the list says, else by its file.
func Entry(e *library.PlaylistEntry) string {
	title, artist := Clean(e.Title), Clean(e.Artist)
	switch {
	case title == "":
		return Clean(path.Base(e.Path))
	case artist == "":
		return title
	}
	return artist + " - " + title
}

// foundBy says how an entry was found again where that was not by its path.
var foundBy = map[library.How]string{
	library.ByMovedRoot:   "the list names another place; found by its last folders and its name",
	library.ByNameLength:  "found by its name and length",
	library.ByName:        "found by its name alone",
	library.ByTitle:       "found by title and artist",
	library.ByFingerprint: "found by the bytes of the file that the list names",
}

// Found says of an entry how it was found again, what else it may mean, or what comes near
// where nothing was; "" where it lies where the list says.
func Found(f *library.Found) string {
	var said []string
	if f.Track == nil {
		said = append(said, notFound(f))
	} else if by := foundBy[f.How]; by != "" {
		said = append(said, by)
	}
	if len(f.Others) > 0 {
		said = append(said, fmt.Sprintf("%s as well: see that it is the one you mean", meant(f.Others)))
	}
	if f.Track != nil && f.Outside && f.How != library.ByMovedRoot {
		said = append(said, "the list names a file outside the library")
	}
	return Capital(strings.Join(said, "; "))
}

// mostMeant is how many tracks are named that an entry may mean.
const mostMeant = 3

func meant(tracks []*library.Track) string {
	names := make([]string, 0, mostMeant)
	for i, t := range tracks {
		if i == mostMeant {
			return "may be " + strings.Join(names, ", ") + fmt.Sprintf(" or %s", Counted(len(tracks)-i, "other"))
		}
		names = append(names, Clean(t.Path))
	}
	return "may be " + strings.Join(names, " or ")
}

func notFound(f *library.Found) string {
	why := "not in the library"
	switch {
	case f.Remote:
		why = "an address on a network, not a file: it is not asked for"
	case f.There:
		why = "outside the library, so it was not measured: scan its folder"
	case f.Outside:
		why = "not in the library, and not there where the list says"
	}
	if len(f.Near) == 0 {
		return why
	}
	near := make([]string, len(f.Near))
	for i, n := range f.Near {
		near[i] = Clean(n.Track.Path)
	}
	return why + "; nearest: " + strings.Join(near, ", ")
}

// ListWarnings says what was passed over in a list, a line each.
func ListWarnings(l *library.Playlist) (lines []string) {
	for _, w := range l.Warnings {
		lines = append(lines, fmt.Sprintf("line %d: %s", w.Line, OneLine(w.Text)))
	}
	if l.More > 0 {
		lines = append(lines, fmt.Sprintf("and %d more of the kind", l.More))
	}
	return lines
}
