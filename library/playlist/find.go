package playlist

import (
	"context"
	"math"
	"path"
	"path/filepath"
	"slices"

	"dubgauge/library/track"
)

// How an entry was found again.
type How string

// The ways, in the order in which they are tried.
const (
	NotFound      How = ""
	ByPath        How = "path"             // where the list says, or there below a root of the library
	ByMovedRoot   How = "moved folder"     // the last folders and the name agree
	ByNameLength  How = "name and length"  // the name of the file, ending or not, and its length
	ByName        How = "name"             // the name of the file, which only one track has; the list has no length
	ByTitle       How = "title and artist" // and the length, where the list has one
	ByFingerprint How = "fingerprint"      // the file that the list names has the bytes of a track
)

// Found is what an entry means.
type Found struct {
	Entry Entry
	Track *track.Track // nil where none was found
	How   How
	// Others are tracks that the entry may mean as well, of other audio than Track.
	Others []*track.Track
	// Outside tells that the entry's place is known and lies in no folder of the library.
	Outside bool
	// There tells of an entry outside the library for which no track was found that the file
	// is there.
	There bool
	// Remote tells that the entry is an address on a network, which is not asked.
	Remote bool
	// Near are the tracks whose names come nearest, where none was found; the nearest first.
	// They are looked for for mostLookedUp entries of a list.
	Near []Near
}

// Near is a track of a name like that of an entry.
type Near struct {
	Track *track.Track
	// Edits is by how many characters the names differ.
	Edits int
}

const (
	// sameLengthS is by how many seconds two lengths of one track differ at most: lists
	// have whole seconds, and players count MP3s by their bit rate.
	sameLengthS = 2.5
	// leastFolders is how many parts of a path agree, the name with them, where the root
	// has moved.
	leastFolders = 2
	// mostLookedUp is for how many entries the nearest names are looked for, which takes up to
	// a millisecond each: nobody reads more.
	mostLookedUp = 10_000
)

// Find finds the tracks that the entries of a list mean, in its order. dir is the folder
// of the list, "" where it has none. Files are opened only where an entry is found in no
// other way and the file that it names has the size of a track: regular ones, for their
// fingerprint. The error is that of ctx.
func Find(ctx context.Context, l List, dir string, tracks []*track.Track) ([]Found, error) {
	if dir != "" {
		if abs, err := filepath.Abs(dir); err == nil {
			dir = abs
		}
	}
	f := finder{ctx: ctx, dir: filepath.ToSlash(dir), index: newIndex(tracks)}
	all := make([]Found, len(l.Entries))
	for i, e := range l.Entries {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		all[i] = f.find(e)
	}
	return all, ctx.Err()
}

// finder finds entries of one list.
type finder struct {
	ctx context.Context
	dir string // with forward slashes
	*index
	names *names // of the nearest; made when the first is asked for

	looked int // how many entries were not found
}

func (f *finder) find(e Entry) Found {
	found := Found{Entry: e, Remote: e.Path != "" && remote(e.Path)}
	places := f.places(e)
	found.Outside = f.outside(places)
	for _, way := range []struct {
		how  How
		find func(Entry, []string) []*track.Track
	}{
		{ByPath, f.byPath}, {ByMovedRoot, f.byMovedRoot}, {ByNameLength, f.byNameLength}, {ByName, f.byName},
		{ByTitle, f.byTitle}, {ByFingerprint, f.byFingerprint},
	} {
		those := way.find(e, places)
		if len(those) == 0 {
			continue
		}
		found.Track, found.How, found.Others = those[0], way.how, others(those)
		if len(found.Others) > 0 {
			f.settle(&found, places, those)
		}
		return found
	}
	if f.looked++; f.looked <= mostLookedUp {
		if f.names == nil {
			f.names = newNames(f.tracks)
		}
		found.Near = f.names.nearest(e)
	}
	found.There = found.Outside && f.there(places[0])
	return found
}

// settle looks, where several tracks are meant, whether the file that the entry names has
// the bytes of one of them.
func (f *finder) settle(found *Found, places []string, those []*track.Track) {
	same := f.byFingerprint(found.Entry, places)
	if len(same) > 0 && slices.Contains(those, same[0]) {
		found.Track, found.How, found.Others = same[0], ByFingerprint, nil
	}
}

// others are the tracks besides the first that hold other audio than it.
func others(those []*track.Track) (all []*track.Track) {
	first := those[0]
	for _, t := range those[1:] {
		twin := t.Twin != 0 && t.Twin == first.Twin
		same := t.SameFile() != "" && t.SameFile() == first.SameFile()
		if t != first && !twin && !same {
			all = append(all, t)
		}
	}
	return all
}

// places are the paths that an entry may mean, the likeliest first: as it stands, with
// percent escapes taken back, with backslashes as they are on other systems.
func (f *finder) places(e Entry) (all []string) {
	add := func(p string) {
		if p != "" && !slices.Contains(all, p) {
			all = append(all, p)
		}
	}
	for _, p := range append([]string{e.Path}, e.Also...) {
		if p == "" || remote(p) {
			continue
		}
		for _, v := range []string{p, unescape(p), slashed(p), slashed(unescape(p))} {
			add(clean(v))
		}
	}
	return all
}

// clean takes dots out of a path, and keeps a server's two slashes; three are one.
func clean(p string) string {
	c := path.Clean(p)
	if onServer(p) {
		return "/" + c
	}
	return c
}

// full is a place as an absolute path, "" where it is relative and the list has no folder.
func (f *finder) full(p string) string {
	switch {
	case absolute(p):
		return p
	case f.dir == "":
		return ""
	}
	return path.Join(f.dir, p)
}

// outside tells that the first place is known and in none of the roots.
func (f *finder) outside(places []string) bool {
	if len(places) == 0 {
		return false
	}
	p := f.full(places[0])
	if p == "" {
		return false
	}
	for _, root := range f.roots {
		if _, ok := below(track.FoldPath(p), track.FoldPath(root)); ok {
			return false
		}
	}
	return true
}

// length is that of a track in seconds, NaN where it is not known.
func length(t *track.Track) float64 { return float64(t.Measurement.File.DurationS) }

// agree tells that two lengths are those of one track; contradict that they are not. Where
// one is not known, neither.
func agree(a, b float64) bool      { return math.Abs(a-b) <= sameLengthS }
func contradict(a, b float64) bool { return math.Abs(a-b) > sameLengthS }
