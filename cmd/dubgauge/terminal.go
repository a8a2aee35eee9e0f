package main

import (
	"fmt"
	"io"
	"os"
	"strings"

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

// wrap breaks text at spaces so that no line is longer than width, the lines
// after the first being indented. A width of 0 leaves it in one line.
func wrap(s string, width int, indent string) string {
	if width <= 0 {
		return s
	}
	width = max(width, 30)
	var b strings.Builder
	column := 0
	for i, word := range strings.Fields(s) {
		n := len([]rune(word))
		switch {
		case i == 0:
		case column+1+n > width:
			b.WriteString("\n" + indent)
			column = len(indent)
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += n
	}
	return b.String()
}
