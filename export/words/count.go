package words

import (
	"strings"

	"dubgauge/detect/reason"
)

// Counted puts a number before its noun.
func Counted(n int, noun string) string { return reason.Counted(n, noun) }

// AndList joins words as in speech.
func AndList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// Capital begins a sentence.
func Capital(s string) string { return reason.Capital(s) }
