package live

import (
	"context"
	"slices"
	"strings"
	"sync"
	"time"

	"dubgauge/export/page"
	"dubgauge/library"
)

const (
	// mediaEvery is how often the list of what is mounted is read: it lies in memory, and a stick
	// takes longer to be mounted.
	mediaEvery = 2 * time.Second
	// settling is how many times libraries are looked for after a change of it: a drive shows
	// itself before it can be read.
	settling = 5
)

// stateEvery is how often the library is asked whether it has changed.
var stateEvery = time.Second // shorter in a test

// watch knows which libraries are plugged in, and what was noticed of sticks. Its zero value knows
// nothing.
type watch struct {
	mu      sync.Mutex
	media   []library.Medium // as they were last listed
	here    map[string]bool  // by library: it is plugged in
	checks  int              // how many more times to look
	noticed []noticed
	others  []string // the libraries that other programs scan now; "" where it is not known
}

// noticed is one thing that happened to a library or a medium.
type noticed struct {
	dir  string
	what event
}

type event int

const (
	wentAway event = iota // a library
	cameBack              // a library
	isNew                 // a medium without a library
)

// look compares what is mounted with before, and the libraries that are there; it tells whether
// there is something to say. The first look only remembers.
func (w *watch) look(media []library.Medium, roots []string, plugged func(string) bool) (changed bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	first := w.here == nil
	if first {
		w.here = map[string]bool{}
	}
	moved := !slices.Equal(media, w.media)
	if moved || first {
		w.checks = settling
	}
	for _, root := range roots {
		was, known := w.here[root]
		if known && w.checks == 0 {
			continue
		}
		now := plugged(root)
		w.here[root] = now
		if known && now != was {
			w.libraryMoved(root, now)
			changed = true
		}
	}
	w.checks = max(0, w.checks-1)
	if moved && !first {
		changed = w.mediaMoved(media, roots) || changed
	}
	w.media = slices.Clone(media)
	return changed
}

func (w *watch) libraryMoved(root string, now bool) {
	w.forget(root)
	what := wentAway
	if now {
		what = cameBack
	}
	w.noticed = append(w.noticed, noticed{root, what})
}

// mediaMoved notes media that are new and have no library in them, and forgets those that went.
func (w *watch) mediaMoved(media []library.Medium, roots []string) (changed bool) {
	before := len(w.noticed)
	w.noticed = slices.DeleteFunc(w.noticed, func(n noticed) bool {
		return n.what == isNew && !slices.ContainsFunc(media, func(m library.Medium) bool { return m.Dir == n.dir })
	})
	changed = len(w.noticed) != before
	for _, m := range media {
		known := slices.Contains(w.media, m) || slices.ContainsFunc(roots, func(root string) bool { return within(root, m.Dir) || within(m.Dir, root) })
		if m.Removable && !known {
			w.noticed = append(w.noticed, noticed{m.Dir, isNew})
			changed = true
		}
	}
	return changed
}

// within tells that a folder is another, or lies in it.
func within(dir, in string) bool {
	return dir == in || strings.HasPrefix(dir, strings.TrimRight(in, `/\`)+"/") || strings.HasPrefix(dir, strings.TrimRight(in, `/\`)+`\`)
}

func (w *watch) forget(dir string) {
	w.noticed = slices.DeleteFunc(w.noticed, func(n noticed) bool { return n.dir == dir })
}

// seen takes what was noticed of folders, or of what they lie in, off the page: they are scanned,
// or need not be.
func (w *watch) seen(dirs []string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.noticed = slices.DeleteFunc(w.noticed, func(n noticed) bool { return touches(dirs, n.dir) })
}

// touches tells that one of these folders lies in another, or the other in it.
func touches(dirs []string, other string) bool {
	return slices.ContainsFunc(dirs, func(d string) bool { return within(d, other) || within(other, d) })
}

// note remembers which of the libraries that folders lie in are there, without a word: the scan
// of them tells it.
func (w *watch) note(dirs, roots []string, plugged func(string) bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.here == nil {
		w.here = map[string]bool{}
	}
	for _, root := range roots {
		if touches(dirs, root) {
			w.here[root] = plugged(root)
		}
	}
}

// knowsLibraries tells that there are libraries.
func (w *watch) knowsLibraries() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.here) > 0
}

// away tells that one of these folders lies in a library that is not plugged in.
func (w *watch) away(dirs []string) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	for root, here := range w.here {
		if !here && slices.ContainsFunc(dirs, func(d string) bool { return within(d, root) }) {
			return true
		}
	}
	return false
}

// told are the notes for the page. What the last scan says itself, or asks for, is left out.
func (w *watch) told(last *job) []page.Note {
	w.mu.Lock()
	defer w.mu.Unlock()
	notes := []page.Note{}
	for _, root := range w.others {
		notes = append(notes, ofOthers(root))
	}
	for _, n := range w.noticed {
		ofScan := last != nil && (last.running || last.state() == page.ScanGone)
		if !ofScan || !touches(last.dirs, n.dir) {
			notes = append(notes, n.note())
		}
	}
	return notes
}

// hear takes which libraries other programs scan now, and tells whether that is new. Between two
// files nothing says which: then it is that of before.
func (w *watch) hear(others []string) (changed bool) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for i, root := range others {
		if root == "" && i < len(w.others) {
			others[i] = w.others[i]
		}
	}
	changed = !slices.Equal(others, w.others)
	w.others = others
	return changed
}

// ofOthers is the note about a scan of another program.
func ofOthers(root string) page.Note {
	what := "the library"
	if root != "" {
		what = folderName(root)
	}
	return page.Note{Said: "Another program scans " + what + ". What it measures shows here."}
}

func (n noticed) note() page.Note {
	name := folderName(n.dir)
	switch n.what {
	case wentAway:
		return page.Note{Said: name + " is not plugged in any more. Its tracks stay in the list.", Dir: n.dir}
	case cameBack:
		return page.Note{Said: name + " is plugged in again.", Dir: n.dir, Go: "Scan " + name}
	}
	return page.Note{Said: name + " is plugged in, and was not scanned yet.", Dir: n.dir, Go: "Scan " + name}
}

// watchMedia looks at media and libraries now and then until ctx ends.
func (s *Server) watchMedia(ctx context.Context) {
	every(ctx, s.opts.MediaEvery, func() {
		media, _ := s.opts.Media() // where nothing is known of them, libraries are looked at all the same
		roots, err := s.opts.Scanner.Roots(ctx)
		if err != nil {
			return
		}
		if s.watch.look(media, roots, library.PluggedIn) {
			s.tell()
		}
	})
}

// watchLibrary notices changes of the library until ctx ends, whoever made them, and scans of
// other programs.
func (s *Server) watchLibrary(ctx context.Context) {
	every(ctx, stateEvery, func() {
		state, err := s.opts.Scanner.State(ctx)
		others, err2 := s.opts.Scanner.Elsewhere(ctx)
		moved := err == nil && s.news.move(state)
		if err2 == nil && s.watch.hear(others) || moved {
			s.tell()
		}
	})
}

// every does something at once and then again and again, until ctx ends.
func every(ctx context.Context, d time.Duration, do func()) {
	tick := time.NewTicker(d)
	defer tick.Stop()
	for {
		do()
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		}
	}
}
