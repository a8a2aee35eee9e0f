package library

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// shownPath is the form of a relative path that is stored and shown: valid
// UTF-8 in NFC, the bytes of a name that are no UTF-8 written \xNN.
func shownPath(rel string) string {
	for i := 0; i < len(rel); i++ {
		if rel[i] >= utf8.RuneSelf {
			if !utf8.ValidString(rel) {
				rel = escapeInvalid(rel)
			}
			return norm.NFC.String(rel)
		}
	}
	return rel
}

func escapeInvalid(s string) string {
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

// slashed is a path with forward slashes and none at its end.
func slashed(p string) string { return strings.TrimSuffix(filepath.ToSlash(p), "/") }
