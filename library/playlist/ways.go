package playlist

import (
	"path"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"dubgauge/library/track"
)

// byPath finds what lies where the list says; a relative path that leads nowhere from the
// list is tried from the roots of the library.
func (f *finder) byPath(_ Entry, places []string) []*track.Track {
	for _, p := range places {
		if full := f.full(p); full != "" {
			if those := f.whole[track.FoldPath(full)]; len(those) > 0 {
				return nearestForm(those, func(t *track.Track) string { return filepath.ToSlash(t.DiskPath()) }, full)
			}
		}
	}
	for _, p := range places {
		if those := f.inRoot[track.FoldPath(p)]; len(those) > 0 && !absolute(p) {
			return f.nearHome(nearestForm(those, func(t *track.Track) string { return t.Path }, p))
		}
	}
	return nil
}

// nearestForm keeps, of tracks whose paths fold together, those with the very path, else
// those with the same case, else all.
func nearestForm(those []*track.Track, of func(*track.Track) string, p string) []*track.Track {
	for _, form := range []func(string) string{func(s string) string { return s }, norm.NFC.String} {
		want := form(p)
		kept := keep(those, func(t *track.Track) bool { return form(of(t)) == want })
		if len(kept) > 0 {
			return kept
		}
	}
	return those
}

// nearHome keeps the tracks of the root in which the list lies, where there are any.
func (f *finder) nearHome(those []*track.Track) []*track.Track {
	kept := keep(those, func(t *track.Track) bool {
		_, in := below(f.dir, filepath.ToSlash(t.Root))
		return f.dir != "" && in
	})
	if len(kept) > 0 {
		return kept
	}
	return those
}

// byMovedRoot finds the track whose path agrees from the end for the most parts.
func (f *finder) byMovedRoot(e Entry, places []string) []*track.Track {
	var best []*track.Track
	most := leastFolders
	for _, p := range places {
		folded := track.FoldPath(strings.TrimPrefix(p, "/"))
		for _, t := range f.last[lastParts("/"+folded, leastFolders)] {
			n := commonParts(folded, track.FoldPath(path.Join(filepath.ToSlash(t.Root), t.Path)))
			if contradict(length(t), e.DurationS) || n < most || slices.Contains(best, t) {
				continue
			}
			if n > most {
				most, best = n, nil
			}
			best = append(best, t)
		}
	}
	return f.nearHome(best)
}

// commonParts is in how many parts from the end two paths agree.
func commonParts(a, b string) int {
	as, bs := strings.Split(a, "/"), strings.Split(b, "/")
	n := 0
	for n < len(as) && n < len(bs) && as[len(as)-1-n] == bs[len(bs)-1-n] {
		n++
	}
	return n
}

// byNameLength finds the tracks of the name, in whatever format, that are as long.
func (f *finder) byNameLength(e Entry, places []string) []*track.Track {
	return f.named(places, func(t *track.Track) bool { return agree(length(t), e.DurationS) })
}

// byName finds the one track of the name, ending and all, where the list has no length.
func (f *finder) byName(e Entry, places []string) []*track.Track {
	if e.DurationS > 0 {
		return nil
	}
	those := f.named(places, func(t *track.Track) bool {
		name := track.FoldPath(path.Base(t.Path))
		return slices.ContainsFunc(places, func(p string) bool { return track.FoldPath(path.Base(p)) == name })
	})
	if len(those) > 0 && len(others(those)) > 0 {
		return nil
	}
	return those
}

// named are the tracks of a name for which more holds, those with the same ending first.
func (f *finder) named(places []string, more func(*track.Track) bool) (those []*track.Track) {
	for _, p := range places {
		for _, t := range f.stem[stem(track.FoldPath(p))] {
			if more(t) && !slices.Contains(those, t) {
				those = append(those, t)
			}
		}
	}
	same := keep(those, func(t *track.Track) bool {
		return slices.ContainsFunc(places, func(p string) bool { return strings.EqualFold(path.Ext(p), path.Ext(t.Path)) })
	})
	if len(same) > 0 {
		those = same
	}
	return f.nearHome(those)
}

// byTitle finds the tracks of the title and artist, whose length does not say otherwise;
// those first whose length is nearest.
func (f *finder) byTitle(e Entry, _ []string) []*track.Track {
	k := titleKey(e.Artist, e.Title)
	if k == "" {
		return nil
	}
	those := keep(f.title[k], func(t *track.Track) bool { return !contradict(length(t), e.DurationS) })
	return f.nearHome(those)
}

func keep(those []*track.Track, use func(*track.Track) bool) (kept []*track.Track) {
	for _, t := range those {
		if use(t) {
			kept = append(kept, t)
		}
	}
	return kept
}

// byFingerprint finds the track whose file has the bytes of the file that is meant.
func (f *finder) byFingerprint(_ Entry, places []string) []*track.Track {
	for _, p := range places {
		full := f.full(p)
		if full == "" || onServer(full) {
			continue
		}
		if those := f.sameBytes(filepath.FromSlash(full)); len(those) > 0 {
			return those
		}
	}
	return nil
}
