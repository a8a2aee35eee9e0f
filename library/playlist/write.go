package playlist

import (
	"bufio"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Place says where a list will lie.
type Place struct {
	// Dir is the folder, absolute, in the system's form; "" where it is not known, and all
	// paths stay as they are.
	Dir string
	// Roots are the folders of the library, absolute. A path is written relative to the
	// list where the list lies in the same one, or above the track: it then holds when the
	// stick turns up elsewhere. Others stay absolute.
	Roots []string
	// By says in a comment at the head who wrote the list; "" for nothing. CSV has no
	// comments.
	By string
}

// Write writes the entries of l in a form: M3U in UTF-8 (so M3U8), XSPF version 1, or
// CSV with the columns path, title, artist and duration_s.
func Write(w io.Writer, f Format, l List, at Place) error {
	b := bufio.NewWriter(w)
	var err error
	switch f {
	case M3U:
		err = writeM3U(b, &l, at)
	case XSPF:
		err = writeXSPF(b, &l, at)
	case CSV:
		err = writeCSV(b, &l, at)
	default:
		err = fmt.Errorf("no list is written as %q", string(f))
	}
	if err != nil {
		return err
	}
	return b.Flush()
}

// path is how the path of an entry is written.
func (at Place) path(p string) string {
	if at.Dir == "" || !absolute(p) {
		return p
	}
	dir, full := filepath.ToSlash(at.Dir), clean(p)
	if rel, ok := below(full, dir); ok {
		return rel
	}
	for _, root := range at.Roots {
		root = filepath.ToSlash(root)
		in, inRoot := below(full, root)
		from, listInRoot := below(dir, root)
		if inRoot && listInRoot {
			return relative(from, in)
		}
	}
	return p
}

// below gives a path in a folder relative to it; the folder itself is "".
func below(p, dir string) (rel string, ok bool) {
	if p == dir {
		return "", true
	}
	return strings.CutPrefix(p, strings.TrimSuffix(dir, "/")+"/")
}

// relative is the way from a folder to a file, both relative to one folder.
func relative(from, to string) string {
	var up string
	for from != "" {
		if rel, ok := below(to, from); ok {
			return up + rel
		}
		up += "../"
		from = strings.TrimSuffix(path.Dir(from), ".")
	}
	return up + to
}

// plain makes a path one that a line of text can hold and that is read as a path: a name
// that begins like a comment or an address has ./ before it, one with control characters,
// white space at its ends or bytes that are no UTF-8 is a file: URL.
func plain(p string) string {
	if p == "" || remote(p) {
		return p
	}
	odd := func(r rune) bool { return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || r == '\uFEFF' }
	if !utf8.ValidString(p) || strings.ContainsFunc(p, odd) || strings.TrimSpace(p) != p {
		return toURL(p)
	}
	if !absolute(p) && (strings.HasPrefix(p, "#") || strings.HasPrefix(p, "<") || strings.Contains(p, `\`) ||
		scheme(p) != "" || formula(p)) {
		return "./" + p
	}
	return p
}

// writeM3U writes a list in UTF-8 without a mark, which players take for part of a path.
func writeM3U(w io.Writer, l *List, at Place) error {
	fmt.Fprint(w, "#EXTM3U\n")
	if at.By != "" {
		fmt.Fprintf(w, "# %s\n", oneLine(at.By))
	}
	if title := oneLine(l.Title); title != "" {
		fmt.Fprintf(w, "#PLAYLIST:%s\n", title)
	}
	for _, e := range l.Entries {
		if e.Path == "" {
			continue
		}
		if _, err := fmt.Fprintf(w, "%s%s\n", info(e), plain(at.path(e.Path))); err != nil {
			return err
		}
	}
	return nil
}

// info is what is said before a path: #EXTINF with whole seconds, -1 where the length is
// not known; #EXTART where artist and title could not be told apart otherwise.
func info(e Entry) string {
	title, artist := oneLine(e.Title), oneLine(e.Artist)
	if title == "" && artist == "" && math.IsNaN(e.DurationS) {
		return ""
	}
	length := "-1"
	if !math.IsNaN(e.DurationS) {
		length = strconv.FormatFloat(math.Round(e.DurationS), 'f', 0, 64)
	}
	text, more := title, ""
	if artist != "" && title != "" {
		text = artist + between + title
	}
	if a, t, parted := strings.Cut(text, between); !parted && artist != "" || parted && (a != artist || t != title) {
		more = "#EXTART:" + artist + "\n"
	}
	return "#EXTINF:" + length + "," + text + "\n" + more
}

func writeXSPF(w io.Writer, l *List, at Place) error {
	fmt.Fprint(w, xml.Header)
	if at.By != "" {
		fmt.Fprintf(w, "<!-- %s -->\n", strings.ReplaceAll(oneLine(at.By), "-", " ")) // no -- in a comment
	}
	fmt.Fprintf(w, "<playlist version=\"1\" xmlns=\"%s\">\n", namespace)
	element(w, "  ", "title", oneLine(l.Title))
	fmt.Fprint(w, "  <trackList>\n")
	for _, e := range l.Entries {
		fmt.Fprint(w, "    <track>\n")
		for _, p := range append([]string{e.Path}, e.Also...) {
			element(w, "      ", "location", reference(at.path(p)))
		}
		element(w, "      ", "title", oneLine(e.Title))
		element(w, "      ", "creator", oneLine(e.Artist))
		if !math.IsNaN(e.DurationS) {
			element(w, "      ", "duration", strconv.FormatFloat(math.Round(1000*e.DurationS), 'f', 0, 64))
		}
		if _, err := fmt.Fprint(w, "    </track>\n"); err != nil {
			return err
		}
	}
	_, err := fmt.Fprint(w, "  </trackList>\n</playlist>\n")
	return err
}

// reference is a path as a URI reference (RFC 3986): relative, or a file: URL.
func reference(p string) string {
	switch {
	case p == "" || remote(p):
		return p
	case absolute(p):
		return toURL(p)
	}
	return escape(p)
}

// element writes an element with text; none without.
func element(w io.Writer, indent, name, text string) {
	if text == "" {
		return
	}
	fmt.Fprintf(w, "%s<%s>", indent, name)
	_ = xml.EscapeText(w, []byte(text)) // the writer keeps its error
	fmt.Fprintf(w, "</%s>\n", name)
}

// header is that of the lists in CSV.
var header = []string{"path", "title", "artist", "duration_s"}

func writeCSV(w io.Writer, l *List, at Place) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180, 2.1
	_ = c.Write(header)
	for _, e := range l.Entries {
		p := plain(at.path(e.Path))
		if toCell(p) != p {
			p = toURL(at.path(e.Path)) // a path must stay what it is
		}
		length := ""
		if !math.IsNaN(e.DurationS) {
			length = strconv.FormatFloat(e.DurationS, 'f', 3, 64)
		}
		_ = c.Write([]string{p, toCell(oneLine(e.Title)), toCell(oneLine(e.Artist)), length})
	}
	c.Flush()
	return c.Error()
}
