package status

import (
	"cmp"
	"path"
	"strings"

	"dubgauge/library/tags"
)

// Edition is what the name of a file says of how far a tune was in the making. Common
// practice, no source.
type Edition struct {
	date    int // year, month and day as one number, 0 for none
	stage   int // see stages
	version int // of "v7", 0 for none
	number  int // of "master 3", "mix 2" or "final 2", 0 for none
	final   bool
}

// stages that a tune goes through, in their order.
var stages = map[string]int{
	"sketch": 1, "idea": 1, "demo": 2, "wip": 2, "rough": 2, "draft": 2, "mixdown": 3, "premaster": 4, "unmastered": 4,
	"master": 5, "mastered": 5, "mstr": 5,
}

// EditionOf reads it from the name of a file. The names of the artist and the title are no
// part of it where they are tagged.
func EditionOf(file string, g *tags.Tags) (e Edition) {
	name := strings.TrimSuffix(path.Base(file), path.Ext(file))
	words := dropNames(wordsOf(name), [][]string{wordsOf(g.Artist)})
	for i := 0; i < len(words); i++ {
		next := ""
		if i+1 < len(words) {
			next = words[i+1]
		}
		if stage := stages[pairs[[2]string{words[i], next}]]; stage > 0 { // "pre master"
			e.stage = max(e.stage, stage)
			i++
			continue
		}
		e.word(words[i], next)
	}
	e.date = dateIn(words)
	return e
}

// word takes a word of the name and the one behind it.
func (e *Edition) word(w, next string) {
	base := strings.TrimRight(w, "0123456789")
	behind := w[len(base):]
	if behind == "" {
		behind = next
	}
	switch {
	case base == "final":
		e.final = true
	case stages[base] > 0:
		e.stage = max(e.stage, stages[base])
	case (base == "v" || base == "version" || base == "ver" || base == "rev") && smallNumber(behind):
		e.version = numberOf(behind)
		return
	case base != "mix" && base != "take":
		return
	}
	if smallNumber(behind) {
		e.number = numberOf(behind)
	}
}

// numberOf is a number of digits.
func numberOf(digits string) int {
	n := 0
	for _, c := range []byte(digits) {
		n = 10*n + int(c-'0')
	}
	return n
}

// dateIn is the first date in the words: 20260314, 2026 03 14 or 14 03 2026.
func dateIn(words []string) int {
	digits := func(i, n int) int {
		if i >= len(words) || len(words[i]) != n || strings.Trim(words[i], "0123456789") != "" {
			return -1
		}
		return numberOf(words[i])
	}
	for i := range words {
		if d := digits(i, 8); dated(d/10000, d/100%100, d%100) {
			return d
		}
		for _, ymd := range [][3]int{
			{digits(i, 4), digits(i+1, 2), digits(i+2, 2)},
			{digits(i+2, 4), digits(i+1, 2), digits(i, 2)},
		} {
			if dated(ymd[0], ymd[1], ymd[2]) {
				return ymd[0]*10000 + ymd[1]*100 + ymd[2]
			}
		}
	}
	return 0
}

func dated(year, month, day int) bool {
	return year >= 1990 && year <= 2099 && month >= 1 && month <= 12 && day >= 1 && day <= 31
}

// Compare is negative where e is of an older version than f by its name, positive where it
// is of a newer one, and 0 where the names do not say. Where two things that they say
// contradict each other ("premaster v3", "master v2"), they do not.
func (e Edition) Compare(f Edition) int {
	says := 0
	for _, c := range []int{
		known(e.date, f.date), known(e.version, f.version), known(e.stage, f.stage), e.among(f),
	} {
		if c != 0 && says != 0 && c != says {
			return 0
		}
		if c != 0 {
			says = c
		}
	}
	return says
}

// known compares what both names say.
func known(a, b int) int {
	if a == 0 || b == 0 {
		return 0
	}
	return cmp.Compare(a, b)
}

// among compares those of one stage: what is called final comes last, then the numbers
// count.
func (e Edition) among(f Edition) int {
	switch {
	case e.final != f.final && e.final:
		return 1
	case e.final != f.final:
		return -1
	case e.stage != f.stage:
		return 0
	}
	return known(e.number, f.number)
}
