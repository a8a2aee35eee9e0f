package export

import (
	"strings"
	"unicode"
)

// maxText is the longest text, in characters, that goes into one cell or line.
// Spreadsheets hold 32,767; nobody reads that much of a tag.
const maxText = 1000

// clean makes text safe to show: what is not UTF-8 becomes U+FFFD; control
// characters (escape sequences among them) and those that turn the direction of
// writing become spaces; the ends are trimmed; what is overlong is cut.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\uFFFD")
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' || r == '\uFEFF' {
			return ' '
		}
		return r
	}, s)
	return shorten(strings.TrimSpace(s), maxText)
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

// formulaStart are the characters, half and full width, that make a spreadsheet
// take a cell for a formula (OWASP, CSV Injection).
const formulaStart = "=+-@\uFF1D\uFF0B\uFF0D\uFF20"

// cell is clean, and no formula in any spreadsheet: a leading apostrophe makes
// it text. Spreadsheets of regions that separate columns by semicolons see a new
// cell after each of those, so the same goes there.
func cell(s string) string {
	s = clean(s)
	var b strings.Builder
	start := true
	for _, r := range s {
		if start && strings.ContainsRune(formulaStart, r) {
			b.WriteByte('\'')
		}
		b.WriteRune(r)
		start = r == ';' || start && (r == ' ' || r == '"')
	}
	return b.String()
}
