package track

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// ShownPath is the form of a relative path that is stored and shown: valid
// UTF-8 in NFC, the bytes of a name that are no UTF-8 written \xNN.
func ShownPath(rel string) string {
	for i := 0; i < len(rel); i++ {
		if rel[i] >= utf8.RuneSelf {
			if !utf8.ValidString(rel) {
				rel = EscapeInvalid(rel)
			}
			return norm.NFC.String(rel)
		}
	}
	return rel
}

// EscapeInvalid writes the bytes of s that are no UTF-8 as \xNN.
func EscapeInvalid(s string) string {
	var b strings.Builder
	for len(s) > 0 {
		r, n := utf8.DecodeRuneInString(s)
		if r == utf8.RuneError && n == 1 {
			fmt.Fprintf(&b, `\x%02x`, s[0])
		} else {
			b.WriteString(s[:n])
		}
		s = s[n:]
	}
	return b.String()
}

// FoldPath is a path as FAT and exFAT compare it: each character in upper case by itself
// (exFAT specification, clause 7.2), so that sharp s stays one; and composed, as some
// hosts write it.
func FoldPath(p string) string { return strings.Map(unicode.ToUpper, norm.NFC.String(p)) }

// Below tells that path lies in the folder dir, both in the system's form.
func Below(path, dir string) bool {
	sep := string(filepath.Separator)
	return strings.HasPrefix(path, strings.TrimSuffix(dir, sep)+sep)
}
