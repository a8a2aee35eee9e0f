package page

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"regexp"

	"dubgauge/library"
)

//go:embed web
var web embed.FS

var templates = template.Must(template.New("").Funcs(template.FuncMap{"choice": newChoice, "heading": headingOf}).ParseFS(web, "web/*.tmpl"))

// choice is one option of a selection.
type choice struct {
	Value, Text string
	Chosen      bool
}

func newChoice(chosen, value, text string) choice { return choice{value, text, chosen == value} }

// Report writes the whole library as one HTML file without any request to
// anywhere: the picture, the list, every track in full, and for print the trim
// sheet. tracks is left as it is.
func Report(w io.Writer, tracks []library.Track, opts Options) error {
	p, err := newPage(tracks, opts, opts.Filter, true)
	if err != nil {
		return err
	}
	styles := []string{"page.css"}
	if p.Order = opts.Order; p.Order != nil {
		styles = append(styles, "order.css")
	}
	style, styleHash, err := inline("style", styles...)
	if err != nil {
		return err
	}
	script, scriptHash, err := inline("script", scripts...)
	if err != nil {
		return err
	}
	p.Style, p.Script = style, script
	p.Policy = fmt.Sprintf("default-src 'none'; style-src '%s'; script-src '%s'; base-uri 'none'; form-action 'none'", styleHash, scriptHash)
	b := bufio.NewWriterSize(w, 1<<16)
	if err := templates.ExecuteTemplate(b, "page", p); err != nil {
		return err
	}
	return b.Flush()
}

// Ours tells, by the first bytes of a file, that it is a page of this package: older
// ones name the program in their title only.
func Ours(head []byte) bool {
	return bytes.HasPrefix(head, []byte("<!DOCTYPE html>")) &&
		(bytes.Contains(head, []byte(`<meta name="generator" content="dubgauge">`)) || bytes.Contains(head, []byte(", dubgauge</title>")))
}

// scripts are those of the list and the pictures, each behind those that it takes from.
var scripts = []string{"dom.js", "rows.js", "moves.js", "pick.js", "find.js", "picture.js", "open.js", "keys.js", "sheets.js", "list.js"}

// imports are the lines by which a script takes from others, or passes on what it took.
var imports = regexp.MustCompile(`(?m)^(import .*|export \{.*\});\n`)

// inline wraps our own files in one element and gives the hash that the
// Content-Security-Policy allows it by. Scripts become one: no name stands in two of them.
func inline(element string, names ...string) (template.HTML, string, error) {
	var text []byte
	for _, name := range names {
		b, err := web.ReadFile("web/" + name)
		if err != nil {
			return "", "", err
		}
		text = append(text, b...)
	}
	attributes := ""
	if element == "script" {
		attributes = ` type="module"`
		text = bytes.ReplaceAll(imports.ReplaceAll(text, nil), []byte("\nexport "), []byte("\n"))
	}
	sum := sha256.Sum256(text)
	html := "<" + element + attributes + ">" + string(text) + "</" + element + ">"
	return template.HTML(html), "sha256-" + base64.StdEncoding.EncodeToString(sum[:]), nil
}
