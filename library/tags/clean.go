package tags

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// MaxChars is the longest field in characters (runes). A longer one is cut and
// ends in an ellipsis, U+2026, which counts as one of them.
const MaxChars = 1000

// clean makes s fit to show: valid UTF-8 in NFC on one line, at most MaxChars
// characters. Control characters, U+FEFF, noncharacters, zero-width spaces and
// the bidirectional embeddings, overrides and isolates (Unicode standard annex 9:
// U+202A-202E, U+2066-2069), which can make a terminal show something else than
// what is there, are dropped; white space is folded to single spaces.
func clean(s string) string {
	if len(s) > maxText {
		s = s[:maxText]
	}
	s = norm.NFC.String(strings.ToValidUTF8(s, string(utf8.RuneError)))
	var b strings.Builder
	n, space := 0, false
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			space = n > 0
			continue
		case hidden(r):
			continue
		}
		if space {
			b.WriteByte(' ')
			n++
			space = false
		}
		b.WriteRune(r)
		if n++; n > MaxChars {
			break
		}
	}
	// Dropping a character can bring two together that compose.
	out := norm.NFC.String(b.String())
	if utf8.RuneCountInString(out) <= MaxChars {
		return out
	}
	return norm.NFC.String(strings.TrimRight(string([]rune(out)[:MaxChars-1]), " ") + "\u2026")
}

// hidden tells whether r has no business in a line of text.
func hidden(r rune) bool {
	switch {
	case unicode.IsControl(r), r == '\uFEFF', r == '\u200B', r == '\u2060':
		return true
	case r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069':
		return true
	}
	return r >= 0xFDD0 && r <= 0xFDEF || r&0xFFFE == 0xFFFE
}
