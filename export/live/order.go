package live

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"dubgauge/export/page"
	"dubgauge/export/running"
	"dubgauge/export/words"
	"dubgauge/library"
)

const (
	// orderPath is the page of running orders.
	orderPath = "/order"
	// maxUpload in bytes is how large a list may be that is uploaded: 10,000 entries of 400
	// bytes each.
	maxUpload   = 4 << 20
	uploadWords = "4 MB"
	// listTime bounds the looking for lists on what may be a slow stick.
	listTime = 3 * time.Second
)

// bodyLimit is how much a request may send.
func bodyLimit(r *http.Request) int64 {
	if r.URL.Path == orderPath {
		return maxUpload + maxBody // and what stands around a file
	}
	return maxBody
}

// listEndings are those of files that may be named as lists: the page opens no others.
var listEndings = []string{".m3u", ".m3u8", ".xspf", ".csv"}

// order shows the running order of a list whose path was typed or chosen, and offers others.
func (s *Server) order(w http.ResponseWriter, r *http.Request) {
	path := strings.TrimSpace(r.URL.Query().Get("list"))
	if path == "" {
		s.showOrder(w, r, nil, "", nil)
		return
	}
	l, err := listAt(r.Context(), path)
	s.showList(w, r, l, path, err)
}

// listAt reads the list at a path that was typed.
func listAt(ctx context.Context, path string) (library.Playlist, error) {
	if !slices.Contains(listEndings, strings.ToLower(filepath.Ext(path))) {
		return library.Playlist{}, errNoList
	}
	if !filepath.IsAbs(path) {
		return library.Playlist{}, errNotWhole
	}
	return library.ReadPlaylistFile(ctx, path)
}

var (
	errNoList   = errors.New("that is no name of a playlist: it ends in .m3u, .m3u8, .xspf or .csv")
	errNotWhole = errors.New("give the whole path, from the top of the disk on")
	errNoUpload = errors.New("no file came with the request: choose one")
)

// uploadedOrder shows the running order of a list that was uploaded; it is kept nowhere.
func (s *Server) uploadedOrder(w http.ResponseWriter, r *http.Request) {
	l, err := uploaded(r)
	s.showList(w, r, l, "", err)
}

// uploaded reads the file of a form.
func uploaded(r *http.Request) (library.Playlist, error) {
	form, err := r.MultipartReader()
	if err != nil {
		return library.Playlist{}, errNoUpload
	}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return library.Playlist{}, errNoUpload
		}
		if err != nil {
			return library.Playlist{}, err
		}
		if part.FormName() == "list" && part.FileName() != "" {
			return library.ReadPlaylist(r.Context(), part, filepath.Base(part.FileName()))
		}
	}
}

// showList shows a list that was read, or says why it was not. path is where it lies, ""
// for one without a folder.
func (s *Server) showList(w http.ResponseWriter, r *http.Request, l library.Playlist, path string, err error) {
	if err != nil {
		s.showOrder(w, r, nil, path, err)
		return
	}
	tracks, err := s.library(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	o := running.Options{Fill: s.filler(r.Context())}
	if path != "" {
		o.Dir = folder(path)
	}
	found, err := running.New(r.Context(), l, present(tracks), o)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	s.showOrder(w, r, page.NewOrder(found), path, nil)
}

// present are the tracks whose files are there, also those that are to be ignored: a list
// names them. They are copies, as what is shared does without their whole records.
func present(tracks []library.Track) (all []*library.Track) {
	for i := range tracks {
		if t := tracks[i]; !t.Missing() {
			all = append(all, &t)
		}
	}
	return all
}

// folder is that of a list, without links, as the roots of a library are.
func folder(path string) string {
	dir := filepath.Dir(path)
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		return real
	}
	return dir
}

// showOrder sends the page, with what went wrong with a list.
func (s *Server) showOrder(w http.ResponseWriter, r *http.Request, o *page.Order, path string, wrong error) {
	var tooLarge *http.MaxBytesError
	if errors.As(wrong, &tooLarge) {
		wrong = fmt.Errorf("the list is larger than %s: name its path instead", uploadWords)
	}
	c, err := s.choices(r.Context(), path)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if wrong != nil {
		c.Wrong = words.Clean(listTrouble(path, wrong)) + "."
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		w.WriteHeader(http.StatusBadRequest)
	}
	s.send(w, r, func(out io.Writer) error { return page.OrderPage(out, o, c, s.options(r.Context())) })
}

// listTrouble says why a list could not be read, by its name where it has one.
func listTrouble(path string, err error) string {
	var system *fs.PathError
	switch _, ours := library.IsPlaylistError(err); {
	case ours:
		return err.Error()
	case errors.As(err, &system):
		return path + " cannot be read: " + library.Reason(err).Error()
	}
	return words.Capital(err.Error())
}

// choices are the lists that lie in the library's folders.
func (s *Server) choices(ctx context.Context, path string) (page.Choose, error) {
	c := page.Choose{Path: path, Limit: uploadWords}
	tracks, err := s.library(ctx)
	if err != nil {
		return c, err
	}
	var roots []string
	for i := range tracks {
		if !slices.Contains(roots, tracks[i].Root) {
			roots = append(roots, tracks[i].Root)
		}
	}
	soon, stop := context.WithTimeout(ctx, listTime)
	defer stop()
	found, all, err := library.FindPlaylists(soon, roots)
	if ctx.Err() != nil {
		return c, err
	}
	for _, p := range found {
		c.Found = append(c.Found, page.NewChoice(p, p, p == path))
	}
	if !all {
		c.More = "There may be more: looking through the folders took too long. Type the path of another."
	}
	return c, nil
}
