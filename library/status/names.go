package status

import (
	"slices"
	"strings"
	"unicode"

	"dubgauge/library/tags"
)

// unreleasedBy looks for words in file name, folder and title, and in label and
// album for those that have no other meaning there.
func unreleasedBy(path string, g *tags.Tags) (found []Evidence) {
	add := func(where, word string) {
		found = append(found, Evidence{Unreleased, `the word "` + word + `"`, where})
	}
	dir, file := "", path
	if i := strings.LastIndexByte(path, '/'); i >= 0 {
		dir, file = path[:i], path[i+1:]
	}
	if i := strings.LastIndexByte(file, '.'); i > 0 {
		file = file[:i]
	}
	// A name that only quotes the artist or the label says nothing.
	names := [][]string{wordsOf(g.Artist), wordsOf(g.Label)}
	for _, w := range unreleasedWords(dropNames(wordsOf(file), append(names, remixers(file)...))) {
		add("file name", w)
	}
	for dir != "" {
		var name string
		name, dir, _ = strings.Cut(dir, "/")
		for _, w := range unreleasedWords(dropNames(wordsOf(name), names)) {
			add("folder", w)
		}
	}
	for _, w := range unreleasedWords(dropNames(wordsOf(g.Title), remixers(g.Title))) {
		add("title", w)
	}
	if w := plainWord(wordsOf(g.Label)); w != "" {
		add("tag label", w)
	}
	if w := plainWord(wordsOf(g.Album)); w != "" {
		add("tag album", w)
	}
	return found
}

// wordsOf splits s into words of letters and digits, in lower case: a word
// boundary lies wherever neither stands, also at an underscore; and before a
// version at the end of a joined name (NightBusV7).
func wordsOf(s string) []string {
	if s == "" {
		return nil
	}
	words := make([]string, 0, 12)
	start := -1
	prev := rune(0)
	flush := func(end int) {
		if start >= 0 {
			words = append(words, strings.ToLower(s[start:end]))
			start = -1
		}
	}
	for i, r := range s {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r):
			flush(i)
		case start < 0:
			start = i
		case r == 'V' && unicode.IsLower(prev) && version(strings.ToLower(firstWord(s[i:]))):
			flush(i)
			start = i
		}
		prev = r
	}
	flush(len(s))
	return words
}

// firstWord is what s begins with, up to where neither a letter nor a digit stands.
func firstWord(s string) string {
	end := strings.IndexFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) })
	if end < 0 {
		return s
	}
	return s[:end]
}

// mixWords end the name of a mix in brackets, behind who made it.
var mixWords = set("remix", "mix", "rmx", "version")

// remixers are the names of those who made a mix, in brackets, that begin with Dub:
// (Dub Mechanic Remix) is nobody's dub. A name with another word for unreleased in it is
// none.
func remixers(s string) (names [][]string) {
	for {
		open := strings.IndexAny(s, "([")
		if open < 0 {
			return names
		}
		s = s[open+1:]
		inside := s
		if end := strings.IndexAny(s, ")]"); end >= 0 {
			inside = s[:end]
		}
		words := wordsOf(inside)
		if n := len(words); n >= 3 && words[0] == "dub" && mixWords[words[n-1]] && len(unreleasedWords(words[1:])) == 0 {
			names = append(names, words[:n-1])
		}
	}
}

// dropNames takes out the words of each name where they stand in a row.
func dropNames(words []string, names [][]string) []string {
	for _, name := range names {
		if len(name) == 0 {
			continue
		}
		for i := 0; i+len(name) <= len(words); i++ {
			if slices.Equal(words[i:i+len(name)], name) {
				// A name that is dropped still parts its neighbours.
				words = append(append(append([]string{}, words[:i]...), ""), words[i+len(name):]...)
			}
		}
	}
	return words
}
