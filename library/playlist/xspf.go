package playlist

import (
	"context"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strconv"
	"strings"
)

const (
	// namespace of XSPF (specification, 4.1).
	namespace = "http://xspf.org/ns/0/"
	// xmlSpace is the namespace of xml:base.
	xmlSpace = "http://www.w3.org/XML/1998/namespace"
	// maxDepth is how deep elements may lie in one another; XSPF itself has four levels,
	// the rest is for extensions.
	maxDepth = 64
)

// xspf reads one list.
type xspf struct {
	*List
	in    *xml.Decoder
	names []string // of the elements around
	bases []string // xml:base of each
	text  strings.Builder
	track Entry
	bare  bool // there is no namespace
}

// readXSPF reads XML without a document type and without entities of its own.
func (l *List) readXSPF(ctx context.Context, s string) error {
	x := &xspf{List: l, in: xml.NewDecoder(strings.NewReader(s))}
	x.in.CharsetReader = func(label string, r io.Reader) (io.Reader, error) { return x.charset(label, r) }
	for n := 1; ; n++ {
		if err := stopped(ctx, n); err != nil {
			return err
		}
		token, err := x.in.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err == nil {
			err = x.take(token)
		} else {
			err = x.syntax(err)
		}
		if err != nil {
			return err
		}
	}
	if len(x.names) == 0 && x.Format == XSPF && !x.seenRoot() {
		return x.wrong(0, "this is no XSPF: there is no playlist in it")
	}
	return nil
}

// seenRoot tells that the outermost element was there.
func (x *xspf) seenRoot() bool { return x.bases != nil }

// charset accepts what text has made UTF-8 already.
func (x *xspf) charset(label string, r io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "utf-8", "utf-16", "us-ascii", "iso-8859-1", "latin1", "windows-1252":
		return r, nil
	}
	return nil, x.wrong(x.line(), "the encoding %.40q is not read: save the list as UTF-8", label)
}

func (x *xspf) line() int {
	n, _ := x.in.InputPos()
	return n
}

// syntax is an error of the XML in our words.
func (x *xspf) syntax(err error) error {
	if e, ok := IsError(err); ok {
		return e
	}
	var se *xml.SyntaxError
	if errors.As(err, &se) {
		return x.wrong(se.Line, "the XML is broken: %s", se.Msg)
	}
	return x.wrong(x.line(), "the XML is broken: %s", err)
}

// take takes one token.
func (x *xspf) take(token xml.Token) error {
	switch t := token.(type) {
	case xml.Directive:
		return x.wrong(x.line(), "the list declares a document type or entities, which no XSPF needs: it is not read")
	case xml.StartElement:
		return x.start(t)
	case xml.EndElement:
		return x.end()
	case xml.CharData:
		if x.wantsText() {
			x.text.Write(t)
		}
	}
	return nil
}

// start enters an element.
func (x *xspf) start(t xml.StartElement) error {
	if len(x.names) >= maxDepth {
		return x.wrong(x.line(), "elements lie more than %d deep in one another: this is no playlist", maxDepth)
	}
	if len(x.names) == 0 {
		if err := x.root(t); err != nil {
			return err
		}
	}
	name := t.Name.Local
	if t.Name.Space != namespace && !(x.bare && t.Name.Space == "") {
		name = "?" // of an extension
	}
	base := ""
	if n := len(x.bases); n > 0 && len(x.names) > 0 {
		base = x.bases[n-1]
	}
	for _, a := range t.Attr {
		if a.Name.Local == "base" && a.Name.Space == xmlSpace {
			base = resolve(base, strings.TrimSpace(a.Value))
		}
	}
	x.names, x.bases = append(x.names, name), append(x.bases, base)
	if x.at() == "playlist/trackList/track" {
		x.track = Entry{DurationS: math.NaN(), Line: x.line()}
	}
	x.text.Reset()
	return nil
}

// root looks at the outermost element.
func (x *xspf) root(t xml.StartElement) error {
	if t.Name.Local != "playlist" || t.Name.Space != namespace && t.Name.Space != "" {
		return x.wrong(x.line(), "this is XML, but no XSPF: it begins with %.40q", t.Name.Local)
	}
	if t.Name.Space == "" {
		x.bare = true
		x.warn(x.line(), "the list does not name the namespace of XSPF; it is read all the same")
	}
	return nil
}

// at is where reading is, "playlist/trackList/track".
func (x *xspf) at() string {
	if len(x.names) > 4 {
		return ""
	}
	return strings.Join(x.names, "/")
}

// wantsText tells an element whose text is read.
func (x *xspf) wantsText() bool {
	switch x.at() {
	case "playlist/title", "playlist/trackList/track/location", "playlist/trackList/track/title",
		"playlist/trackList/track/creator", "playlist/trackList/track/duration":
		return true
	}
	return false
}

// end leaves an element.
func (x *xspf) end() error {
	text := strings.TrimSpace(x.text.String())
	var err error
	switch x.at() {
	case "playlist/title":
		x.Title = oneLine(text)
	case "playlist/trackList/track/location":
		x.location(resolve(x.bases[len(x.bases)-1], text))
	case "playlist/trackList/track/title":
		x.track.Title = text
	case "playlist/trackList/track/creator":
		x.track.Artist = text
	case "playlist/trackList/track/duration":
		x.duration(text)
	case "playlist/trackList/track":
		err = x.add(x.track)
	}
	x.names, x.bases = x.names[:len(x.names)-1], x.bases[:len(x.bases)-1]
	x.text.Reset()
	return err
}

// location takes a place of the track: the first that is a file leads.
func (x *xspf) location(s string) {
	if s == "" {
		return
	}
	p := fromReference(s)
	switch e := &x.track; {
	case e.Path == "":
		e.Path = p
	case remote(e.Path) && !remote(p):
		e.Also = append(e.Also, e.Path)
		e.Path = p
	default:
		e.Also = append(e.Also, p)
	}
}

// duration reads milliseconds (specification, 4.1.1.2.14.1.1.10).
func (x *xspf) duration(text string) {
	ms, err := strconv.ParseFloat(text, 64)
	if err != nil {
		x.warn(x.line(), "no length in milliseconds stands here: %.40q", text)
		return
	}
	x.track.DurationS = ms / 1000
}
