package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"sync"
	"time"

	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

const (
	// glanceTime is how long the folders that were never scanned are looked through, each.
	glanceTime = 150 * time.Millisecond
	// glanceFor is how long what was seen so is believed: the page asks again while a scan runs.
	glanceFor = 30 * time.Second
	// mostGlances are looked through for one page.
	mostGlances = 8
	// quitAfter is how long the last page may take to fetch its style sheet.
	quitAfter = time.Second
)

// home is the list, or, where there is none and none begins, the page of folders.
func (s *Server) home(w http.ResponseWriter, r *http.Request) {
	if s.scans == nil || s.scans.now() != nil {
		s.page(w, r)
		return
	}
	tracks, err := s.library(r.Context())
	if err == nil && len(tracks) == 0 {
		http.Redirect(w, r, "/start", http.StatusSeeOther)
		return
	}
	s.page(w, r)
}

// start is the page of folders.
func (s *Server) start(w http.ResponseWriter, r *http.Request) {
	p, err := s.folders(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.send(w, r, func(out io.Writer) error { return page.WriteStart(out, p) })
}

// startAgain is the page of folders with what is wrong with the one that was typed.
func (s *Server) startAgain(w http.ResponseWriter, r *http.Request, typed string, wrong error) {
	status := scanStatus(wrong)
	p, err := s.folders(r.Context())
	if err != nil || status == 0 || r.Header.Get("Accept") == "text/plain" {
		s.scanAnswer(w, r, wrong)
		return
	}
	p.Typed, p.Wrong = typed, words.Capital(wrong.Error())+"."
	s.send(statusWriter{w, status}, r, func(out io.Writer) error { return page.WriteStart(out, p) })
}

// statusWriter answers with a status other than 200.
type statusWriter struct {
	http.ResponseWriter
	status int
}

func (w statusWriter) Write(b []byte) (int, error) {
	w.WriteHeader(w.status)
	return w.ResponseWriter.Write(b)
}

// folders is what is known of libraries and of folders that could be scanned.
func (s *Server) folders(ctx context.Context) (page.Start, error) {
	known, err := s.opts.Scanner.Libraries(ctx, s.opts.Judge)
	if err != nil {
		return page.Start{}, err
	}
	p := page.Start{Window: s.window()}
	j := s.scans.now()
	for _, l := range known {
		p.HasTracks = p.HasTracks || l.Tracks > 0
		place := libraryPlace(l, library.PluggedIn(l.Root))
		if j != nil && j.running && touches(j.dirs, l.Root) {
			place.Said = words.Counted(l.Tracks, "track") + " so far; it is being scanned"
		}
		p.Libraries = append(p.Libraries, place)
	}
	for _, dir := range s.worthScanning(known) {
		p.Folders = append(p.Folders, s.glances.at(dir))
	}
	if p.Window.Runs() { // one at a time
		for _, places := range [][]page.Place{p.Libraries, p.Folders} {
			for i := range places {
				places[i].Go = ""
			}
		}
	}
	return p, nil
}

// libraryPlace says what is known of a library.
func libraryPlace(l library.Root, here bool) page.Place {
	p := page.Place{Name: folderName(l.Root), Dir: l.Root, Said: words.Counted(l.Tracks, "track")}
	switch {
	case l.Out > 0:
		p.Said += fmt.Sprintf(", %d not ready", l.Out)
	case l.Tracks > 0:
		p.Said += ", all ready"
	}
	if l.Scanned.IsZero() {
		p.Said += "; not scanned to its end yet"
	} else {
		p.Said += "; scanned " + words.Day(l.Scanned)
	}
	if !here {
		p.Said += "; not plugged in"
		return p
	}
	if p.Go = "Scan again"; l.Scanned.IsZero() {
		p.Go = "Go on"
	}
	return p
}

// worthScanning are media that are plugged in and the folder for music, but for those that lie in
// a library.
func (s *Server) worthScanning(known []library.Root) []string {
	var dirs []string
	add := func(dir string) {
		inside := func(l library.Root) bool { return within(dir, l.Root) }
		if dir != "" && !slices.Contains(dirs, dir) && !slices.ContainsFunc(known, inside) {
			dirs = append(dirs, dir)
		}
	}
	media, err := s.opts.Media()
	for _, m := range media {
		if err == nil && m.Removable {
			add(m.Dir)
		}
	}
	add(s.opts.Music)
	return dirs[:min(len(dirs), mostGlances)]
}

// glances are what was seen of folders a moment ago. The zero value has seen nothing.
type glances struct {
	mu    sync.Mutex
	taken time.Time
	seen  map[string]page.Place
}

// at is what is seen of a folder now, or was a moment ago.
func (g *glances) at(dir string) page.Place {
	g.mu.Lock()
	defer g.mu.Unlock()
	if time.Since(g.taken) > glanceFor {
		g.taken, g.seen = time.Now(), map[string]page.Place{}
	}
	p, ok := g.seen[dir]
	if !ok {
		p = newPlace(dir)
		g.seen[dir] = p
	}
	return p
}

// newPlace says of a folder that was not scanned what a moment's look shows.
func newPlace(dir string) page.Place {
	return page.Place{Name: folderName(dir), Dir: dir, Said: glanceWords(library.Glance(dir, glanceTime)), Go: "Scan"}
}

// glanceWords says what a glance has shown: so many tracks, of all there are or not.
func glanceWords(n int, whole bool) string {
	switch {
	case n == 0 && whole:
		return "No track was found in it."
	case n == 0:
		return "None found at a glance; there is more to look through."
	case whole:
		return words.Counted(n, "track") + ", by the names."
	}
	return "At least " + words.Counted(n, "track") + ", by the names."
}

// quit ends the program, as Ctrl-C does.
func (s *Server) quit(w http.ResponseWriter, r *http.Request) {
	s.send(w, r, page.Ended)
	s.quitOnce.Do(func() { close(s.quitting) })
}

// notByAddress answers who types the address of a form.
func notByAddress(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Allow", http.MethodPost)
	refuse(w, r, http.StatusMethodNotAllowed, errByAddress.Error())
}

var errByAddress = errors.New("this is done by a button of the page: go back to the list")
