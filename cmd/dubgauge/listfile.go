package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"dubgauge/detect/setlist"
	"dubgauge/detect/standout"
	"dubgauge/export/page"
	"dubgauge/export/running"
	"dubgauge/export/words"
	"dubgauge/library"
)

// listHelp is that of the option that names a list.
const listHelp = "the running order of `FILE` (M3U, XSPF, or CSV with a column path; - is standard input)"

// listWords say what a list does to the trim sheet.
func listWords(takes bool) string {
	if !takes {
		return ""
	}
	return `
With --list the rows are those of a playlist, in its order, with the trims that level the
whole set and what changes from track to track.`
}

// readOrder reads the list at path, "-" being standard input, and finds its tracks in the
// library, those too that are marked to be ignored: the list names them. What could not be
// read or found is said.
func (a *app) readOrder(ctx context.Context, db *library.DB, path string, judge standout.Options) (*running.Order, error) {
	return a.readOrderAs(ctx, db, path, judge, setlist.Options{})
}

// readOrderAs is readOrder with options of what is said of the steps.
func (a *app) readOrderAs(ctx context.Context, db *library.DB, path string, judge standout.Options, set setlist.Options) (*running.Order, error) {
	var l library.Playlist
	var err error
	o := running.Options{Fill: filler(ctx, db), Set: set}
	if path == "-" {
		l, err = library.ReadPlaylist(ctx, a.in, "standard input")
	} else {
		l, err = library.ReadPlaylistFile(ctx, path)
		o.Dir = folderOf(path)
	}
	if err != nil {
		return nil, listError(path, err)
	}
	tracks, err := db.Tracks(ctx, library.TrackOptions{IncludeIgnored: true, Judge: judge})
	if err != nil {
		return nil, err
	}
	these := make([]*library.Track, len(tracks))
	for i := range tracks {
		these[i] = &tracks[i]
	}
	r, err := running.New(ctx, l, these, o)
	if err != nil {
		return nil, err
	}
	a.sayFound(r)
	return r, nil
}

// listError names the list in an error that does not.
func listError(path string, err error) error {
	if _, ours := library.IsPlaylistError(err); ours {
		return err
	}
	return fmt.Errorf("cannot read the playlist %s: %w", words.OneLine(path), library.Reason(err))
}

// mostSaid is how many entries of a list are said one by one.
const mostSaid = 20

// sayFound says what was passed over in a list, and what of it was not found where it says.
func (a *app) sayFound(r *running.Order) {
	for _, line := range words.ListWarnings(&r.List) {
		a.say("%s, %s", words.OneLine(filepath.Base(r.List.Name)), line)
	}
	said, moved := 0, 0
	for i := range r.Places {
		p := &r.Places[i]
		text := words.Found(&p.Found)
		if p.How == library.ByMovedRoot && len(p.Others) == 0 {
			moved++
			continue
		}
		if text == "" {
			continue
		}
		if said++; said <= mostSaid {
			a.say("%d. %s: %s", i+1, words.OneLine(words.Entry(&p.Entry)), words.OneLine(text))
		}
	}
	if said > mostSaid {
		a.say("and %d more that do not lie where the list says", said-mostSaid)
	}
	if moved > 0 {
		a.say("%s found by the last folders and the name, as the list names another place.", words.Counted(moved, "track"))
	}
	if n := len(r.Places) - r.Found(); n > 0 {
		a.say("%d of %s not found.", n, words.Counted(len(r.Places), "track"))
	}
}

// saveOrder writes the ordered trim sheet of the list at path.
func (a *app) saveOrder(ctx context.Context, db *library.DB, path string, judge standout.Options, out outputFlags, write func(io.Writer, *running.Order) error) error {
	r, err := a.readOrder(ctx, db, path, judge)
	if err != nil {
		return err
	}
	return a.save(ctx, db, out, r.Found(), func(w io.Writer) error { return write(w, r) })
}

// orderSection is the list at path as a section of a page; nil for no list.
func (a *app) orderSection(ctx context.Context, db *library.DB, path string, judge standout.Options) (*page.Order, error) {
	if path == "" {
		return nil, nil
	}
	r, err := a.readOrder(ctx, db, path, judge)
	if err != nil {
		return nil, err
	}
	return page.NewOrder(r), nil
}
