package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/jedib0t/go-pretty/v6/text"
	"golang.org/x/term"
)

// terminal says what an output can show. The zero value is a file or a pipe: no
// colour, no bars, any width.
type terminal struct {
	is    bool
	width int // columns; 0 is any
	color bool
}

func terminalOf(w io.Writer) terminal {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return terminal{}
	}
	t := terminal{is: true, width: 80, color: os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"}
	if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
		t.width = w
	}
	return t
}

// The few text attributes of ECMA-48 (select graphic rendition) that are used.
const (
	bold   = "1"
	red    = "31"
	yellow = "33"
	faint  = "2"
)

// paint wraps s in an attribute where the terminal shows it.
func (t terminal) paint(attribute, s string) string {
	if !t.color || s == "" {
		return s
	}
	return "\x1b[" + attribute + "m" + s + "\x1b[0m"
}

// say writes a line of talk to standard error.
func (a *app) say(format string, args ...any) {
	fmt.Fprintf(a.err, format+"\n", args...)
}

// print writes a line of data to standard output.
func (a *app) print(format string, args ...any) {
	fmt.Fprintf(a.out, format+"\n", args...)
}

// wrap breaks text at spaces so that no line of it is wider than width, the lines
// after the first being indented beside that. A width of 0 leaves it in one line.
func wrap(s string, width int, indent string) string {
	if width <= 0 {
		return s
	}
	width = max(width, 30)
	var b strings.Builder
	column := 0
	for i, word := range strings.Fields(s) {
		n := text.StringWidth(word)
		switch {
		case i == 0:
		case column+1+n > width:
			b.WriteString("\n" + indent)
			column = 0
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += n
	}
	return b.String()
}

// snip cuts a text to a width and says so; 0 leaves it.
func snip(s string, width int) string { return text.Snip(s, width, "…") }

// snipPath cuts a path to a width: its folders go first, then the end of the name.
func snipPath(s string, width int) string {
	if text.StringWidth(s) > width {
		if i := strings.LastIndexByte(s, '/'); i >= 0 {
			s = "…" + s[i:]
		}
	}
	return snip(s, width)
}

// snipList cuts a list to a width behind a whole part of it where one fits: half a reason may
// read as another.
func snipList(s string, width int) string {
	if text.StringWidth(s) <= width {
		return s
	}
	for i := strings.LastIndex(s, "; "); i >= 0; i = strings.LastIndex(s[:i], "; ") {
		if text.StringWidth(s[:i])+3 <= width {
			return s[:i] + "; …"
		}
	}
	return snip(s, width)
}
