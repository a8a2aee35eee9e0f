package words

import (
	"fmt"
	"strings"
	"unicode"
)

// maxText is the longest text, in characters, that goes into one cell or line.
// Spreadsheets hold 32,767; nobody reads that much of a tag.
const maxText = 1000

// steers tells the characters that do something instead of being shown: controls
// (escape sequences begin with one), those that turn the direction of writing,
// separators of lines, and the byte order mark.
func steers(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' || r == '\uFEFF'
}

// tame writes s as valid UTF-8, with U+FFFD for what is none, and with the
// characters that steer as instead gives them.
func tame(s string, instead func(rune) string) string {
	if plain(s) {
		return s
	}
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		if steers(r) {
			b.WriteString(instead(r))
		} else {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// plain tells that a text is printable ASCII, of which nothing has to be tamed.
func plain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' {
			return false
		}
	}
	return true
}

// Clean makes text safe for pages and sheets: what steers becomes a space, the
// ends are trimmed, what is overlong is cut.
func Clean(s string) string {
	return shorten(strings.TrimSpace(tame(s, func(rune) string { return " " })), maxText)
}

// Printable makes text safe for a terminal: what steers appears as an escape, but
// for line breaks.
func Printable(s string) string {
	return tame(s, func(r rune) string {
		if r == '\n' {
			return "\n"
		}
		return fmt.Sprintf("\\u%04x", r)
	})
}

// OneLine is Printable without line breaks.
func OneLine(s string) string { return strings.ReplaceAll(Printable(s), "\n", "\\n") }

// Typeset is Clean with typographic minus signs before the numbers of a sentence.
func Typeset(s string) string {
	var b strings.Builder
	r := []rune(Clean(s))
	for i, c := range r {
		opens := i == 0 || r[i-1] == ' ' || r[i-1] == '('
		if c == '-' && opens && i+1 < len(r) && r[i+1] >= '0' && r[i+1] <= '9' {
			b.WriteString(Page.minus)
			continue
		}
		b.WriteRune(c)
	}
	return b.String()
}

// shorten cuts s after n characters and marks the cut.
func shorten(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for i := range s {
		if n == 0 {
			return s[:i] + "..."
		}
		n--
	}
	return s
}
