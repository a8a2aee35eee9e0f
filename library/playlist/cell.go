package playlist

import (
	"strings"
	"unicode/utf8"
)

// formulaStart are the characters, half and full width, that make a spreadsheet take a
// cell for a formula (OWASP, CSV Injection).
const formulaStart = "=+-@\uFF1D\uFF0B\uFF0D\uFF20"

// toCell makes text no formula in any spreadsheet, by an apostrophe before what could
// begin one: at the start, and behind a semicolon, where some begin a new cell. Before
// apostrophes that stand before such a character another is set, so that fromCell gives
// the text back.
func toCell(s string) string {
	var b strings.Builder
	starts(s, func(char string, i int, start bool) {
		if start && formula(s[i:]) {
			b.WriteByte('\'')
		}
		b.WriteString(char)
	})
	return b.String()
}

// fromCell takes back toCell.
func fromCell(s string) string {
	if !strings.Contains(s, "'") {
		return s
	}
	var b strings.Builder
	starts(s, func(char string, i int, start bool) {
		if !start || char != "'" || !formula(s[i:]) {
			b.WriteString(char)
		}
	})
	return b.String()
}

// starts hands out the characters of s, where they stand, and whether a cell may begin
// there.
func starts(s string, use func(char string, i int, start bool)) {
	start := true
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		use(s[i:i+n], i, start)
		start = r == ';' || start && (r == ' ' || r == '"')
		i += n
	}
}

// formula tells text that begins, behind any apostrophes, as a formula does.
func formula(s string) bool {
	r, n := utf8.DecodeRuneInString(strings.TrimLeft(s, "'"))
	return n > 0 && strings.ContainsRune(formulaStart, r)
}
