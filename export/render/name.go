package render

import (
	"fmt"
	"path"
	"strings"
	"unicode"

	"dubgauge/library"
)

// longestName in bytes that every file system of a stick takes, with room for the note's
// ending.
const longestName = 240

// Name is that of the copy of t: the track's own, marked with what was done, without what
// FAT and exFAT forbid in names.
func Name(t *library.Track, p *Plan, f Format) string {
	base := strings.TrimSuffix(path.Base(t.Path), path.Ext(t.Path))
	base = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || strings.ContainsRune(`"*/:<>?\|`, r) {
			return '_'
		}
		return r
	}, base)
	mark := fmt.Sprintf(" [trim %+.1f dB", p.Wanted-p.Missing)
	if p.Limited {
		mark = fmt.Sprintf(" [trim %+.1f dB, limited", p.Wanted)
	}
	if len(p.Moves) > 0 {
		mark += ", equalised"
	}
	mark += "]"
	ending := mark + "." + string(f)
	for len(base)+len(ending) > longestName {
		r := []rune(base)
		base = string(r[:len(r)-1])
	}
	return base + ending
}
