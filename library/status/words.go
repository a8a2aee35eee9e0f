package status

import (
	"slices"
	"strings"
)

// plain are words that mean unreleased wherever they stand; the trade's common
// usage, no source.
var plain = set("bootleg", "bootlegs", "dubplate", "dubplates", "mashup", "mashups", "unmastered", "premaster",
	"premasters", "premastered", "wip", "wips", "demo", "demos", "promo", "promos", "forthcoming", "unreleased",
	"rework", "reworks", "mixdown", "mixdowns", "unfinished")

// versions are words that mean unreleased unless a neighbour makes them the
// name of a version or of a style that is released as such.
var versions = map[string]struct{ after, before map[string]bool }{
	// "Radio Edit" and its like are names of released versions.
	"edit": {after: set("radio", "single", "album", "extended", "club", "video", "short", "long", "clean", "dirty",
		"explicit", "original", "instrumental", "vocal", "tv", "inch", "7", "12")},
	"edits": {after: set("radio")},
	// "Dub Mix" and "Dub Version" are B sides, "Dub Techno" is a style.
	"dub": {
		before: set("mix", "version", "remix", "techno", "house", "reggae", "step", "music", "poetry", "siren", "sirens"),
		after:  set("instrumental", "roots", "reggae")},
	"dubs": {},
	"vip":  {}, "vips": {},
}

// pairs are words that count only side by side.
var pairs = map[[2]string]string{
	{"mash", "up"}: "mashup", {"mash", "ups"}: "mashup", {"pre", "master"}: "premaster", {"pre", "mastered"}: "premaster",
	{"un", "mastered"}: "unmastered", {"un", "released"}: "unreleased", {"white", "label"}: "white label",
	{"dub", "plate"}: "dubplate", {"dub", "plates"}: "dubplate", {"re", "work"}: "rework", {"rough", "mix"}: "rough mix",
	{"boot", "leg"}: "bootleg",
}

// unreleasedWords finds the words, version numbers ("v7") and numbered masters
// ("master 3") that speak for unreleased, each once.
func unreleasedWords(words []string) (found []string) {
	for i, w := range words {
		prev, next := "", ""
		if i > 0 {
			prev = words[i-1]
		}
		if i+1 < len(words) {
			next = words[i+1]
		}
		if s := unreleasedWord(prev, w, next); s != "" && !slices.Contains(found, s) {
			found = append(found, s)
		}
	}
	return found
}

// unreleasedWord is what w says between its neighbours, empty for nothing.
func unreleasedWord(prev, w, next string) string {
	if pair := pairs[[2]string{w, next}]; pair != "" {
		return pair
	}
	if v, ok := versions[w]; ok && !v.after[prev] && !v.before[next] {
		return w
	}
	if plain[w] || version(w) {
		return w
	}
	return numberedMaster(w, next)
}

// numberedMaster is "master 3" or "master3".
func numberedMaster(w, next string) string {
	switch {
	case (w == "master" || w == "mstr" || w == "premaster") && smallNumber(next):
		return w + " " + next
	case strings.HasPrefix(w, "master") && smallNumber(w[len("master"):]):
		return w
	}
	return ""
}

// version tells a version number, v1 to v999. V0 is an encoder's setting.
func version(w string) bool {
	return len(w) > 1 && w[0] == 'v' && smallNumber(w[1:])
}

// smallNumber is 1 to 999; more digits are a year or a catalogue number.
func smallNumber(s string) bool {
	if len(s) == 0 || len(s) > 3 || strings.Trim(s, "0") == "" {
		return false
	}
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return true
}

// plainWord is the first word that means unreleased in a label or an album,
// where edit, dub and VIP are part of names; empty when there is none.
func plainWord(words []string) string {
	for i, w := range words {
		if plain[w] {
			return w
		}
		if i+1 < len(words) && pairs[[2]string{w, words[i+1]}] == "white label" {
			return "white label"
		}
	}
	return ""
}

func hasPlain(words []string) bool { return plainWord(words) != "" }

func set(words ...string) map[string]bool {
	m := make(map[string]bool, len(words))
	for _, w := range words {
		m[w] = true
	}
	return m
}
