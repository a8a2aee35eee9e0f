package live

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"path"
	"strings"
	"sync"

	"dubgauge/export/page"
	"dubgauge/library"
)

// sheets are exports that were made: one at a time, as that of a large library takes tens of
// megabytes, and kept until the library is another.
type sheets struct {
	making chan struct{} // the place to make one

	mu   sync.Mutex
	made []madeSheet // the latest last
}

type madeSheet struct {
	of   sheetOf
	data []byte
}

// sheetOf is what tells one export from another.
type sheetOf struct {
	name    string
	filter  page.Filter
	version int64 // of the library
}

// What is kept is at most so many sheets, of so many bytes together.
const (
	keptSheets = 8
	keptBytes  = 64 << 20
)

// get gives an export, made by make where there is none yet.
func (s *sheets) get(ctx context.Context, of sheetOf, make func(*bytes.Buffer) error) ([]byte, error) {
	if data := s.find(of); data != nil {
		return data, nil
	}
	if err := enter(ctx, s.making); err != nil {
		return nil, err
	}
	defer func() { <-s.making }()
	if data := s.find(of); data != nil { // somebody else asked for it, too
		return data, nil
	}
	var b bytes.Buffer
	if err := make(&b); err != nil {
		return nil, err
	}
	s.keep(madeSheet{of, b.Bytes()})
	return b.Bytes(), nil
}

func (s *sheets) find(of sheetOf) []byte {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, m := range s.made {
		if m.of == of {
			return m.data
		}
	}
	return nil
}

// keep keeps a sheet, and of others those of the same library as there is room for.
func (s *sheets) keep(m madeSheet) {
	s.mu.Lock()
	defer s.mu.Unlock()
	kept, size := []madeSheet{m}, len(m.data)
	for i := len(s.made) - 1; i >= 0 && len(kept) < keptSheets; i-- {
		old := s.made[i]
		if size += len(old.data); old.of.version != m.of.version || size > keptBytes {
			break
		}
		kept = append([]madeSheet{old}, kept...)
	}
	s.made = kept
}

// export sends a sheet of the tracks that the filter of the address keeps. The file's name
// says of how many.
func (s *Server) export(w http.ResponseWriter, r *http.Request) {
	k, err := s.latest(r.Context())
	if err != nil {
		s.fail(w, r, err)
		return
	}
	name, f := r.PathValue("name"), page.ParseFilter(r.URL.Query())
	opts := s.options(r.Context())
	opts.Filter = f
	write, kind := form(name, opts)
	if write == nil {
		s.fail(w, r, errNoPage)
		return
	}
	kept := f.Keep(k.tracks)
	data, err := s.sheets.get(r.Context(), sheetOf{name, f, k.version}, func(b *bytes.Buffer) error {
		if name == "sheet.html" {
			return write(b, k.tracks) // which says what is left out
		}
		return write(b, kept)
	})
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if f.Narrows() {
		ending := path.Ext(name)
		name = fmt.Sprintf("%s-%d-of-%d%s", strings.TrimSuffix(name, ending), taking(kept), taking(k.tracks), ending)
	}
	w.Header().Set("Content-Disposition", `attachment; filename="dubgauge-`+name+`"`)
	w.Header().Set("Content-Type", kind)
	deliver(w, data)
}

// taking counts the tracks that exports hold: those that are not ignored.
func taking(tracks []library.Track) (n int) {
	for i := range tracks {
		if !tracks[i].Marks.Ignore {
			n++
		}
	}
	return n
}
