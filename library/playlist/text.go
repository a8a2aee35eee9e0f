package playlist

import (
	"bytes"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	utf "golang.org/x/text/encoding/unicode"
)

// text decodes the bytes of a list, with \n at the end of each line whatever stood there.
// A line that is no UTF-8 is taken for ISO 8859-1, with Windows-1252 in 80-9F, where that
// has control characters: a list to which two programs have written is read right, and one
// wrong byte spoils one line. ok is false for what is no text.
func text(b []byte) (s string, ok bool) {
	switch {
	case bytes.HasPrefix(b, []byte("\xef\xbb\xbf")):
		b = b[3:]
	case bytes.HasPrefix(b, []byte("\xff\xfe")), bytes.HasPrefix(b, []byte("\xfe\xff")):
		decoded, err := utf.UTF16(utf.LittleEndian, utf.UseBOM).NewDecoder().Bytes(b)
		if err != nil {
			return "", false
		}
		b = decoded
	}
	if bytes.IndexByte(b, 0) >= 0 {
		return "", false
	}
	b = bytes.ReplaceAll(b, []byte("\r\n"), []byte("\n"))
	b = bytes.ReplaceAll(b, []byte("\r"), []byte("\n"))
	if utf8.Valid(b) {
		return string(b), true
	}
	var out strings.Builder
	for line := range bytes.Lines(b) {
		if utf8.Valid(line) {
			out.Write(line)
			continue
		}
		for _, c := range line {
			out.WriteRune(latin(c))
		}
	}
	return out.String(), true
}

// latin is a byte of ISO 8859-1, or of Windows-1252 where that has a character more.
func latin(c byte) rune {
	if r := charmap.Windows1252.DecodeByte(c); r != utf8.RuneError {
		return r
	}
	return rune(c)
}

// oneLine is text without control and direction characters, its white space folded, of at
// most maxText characters.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case unicode.IsControl(r), r == '\uFEFF', r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069':
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, string(utf8.RuneError)))
	s = strings.Join(strings.Fields(s), " ")
	if utf8.RuneCountInString(s) <= maxText {
		return s
	}
	return strings.TrimSpace(string([]rune(s)[:maxText]))
}
