package main

import (
	"hash/fnv"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/studio"
)

// kinds of reference groups, from the judged track's point of view.
const (
	sameKind  = "same genre"
	otherKind = "other genre" // four-on-the-floor references, a broken-beat track
	mixedKind = "all genres"
)

// sizes of reference groups.
var sizes = []int{5, 8, 15, 25, 60}

// bench is the measured material of one half.
type bench struct {
	songs  []*Record          // clean, without look-alikes
	spoilt map[Spec][]*Record // by their clean song
	looks  []*Record
}

// arrange sorts records; half is "fit", "show" or "all".
func arrange(records []*Record, half string) *bench {
	b := &bench{spoilt: map[Spec][]*Record{}}
	for _, r := range records {
		switch s := r.Spec; {
		case half != "all" && s.Half() != half:
		case !s.Clean():
			b.spoilt[s.song()] = append(b.spoilt[s.song()], r)
		case s.Look != "":
			b.looks = append(b.looks, r)
		default:
			b.songs = append(b.songs, r)
		}
	}
	return b
}

// fits tells whether a song may be a reference for a track in a group of a kind.
// A song is never its own reference.
func fits(kind string, reference, track Spec) bool {
	if reference == track.song() {
		return false
	}
	switch kind {
	case sameKind:
		return reference.Genre == track.Genre
	case otherKind:
		if studio.GenreNamed(track.Genre) == nil { // of other makers: see measured.go
			return reference.Genre != track.Genre
		}
		g := studio.GenreNamed(reference.Genre)
		return g != nil && g.Four
	}
	return true
}

// asked tells whether tracks of a genre are judged against groups of a kind. Open music
// is no genre: its pieces are judged among all genres only.
func asked(kind, genre string) bool {
	g := studio.GenreNamed(genre)
	switch kind {
	case sameKind:
		return genre != openMusic
	case otherKind:
		return g != nil && !g.Four || g == nil && genre != openMusic
	}
	return true
}

// draw picks n references for a track, the nth time; nil when there are too few.
func (b *bench) draw(kind string, track Spec, n, time int) []*Record {
	var all []*Record
	for _, r := range b.songs {
		if fits(kind, r.Spec, track) {
			all = append(all, r)
		}
	}
	if len(all) < n {
		return nil
	}
	h := fnv.New64a()
	h.Write([]byte(kind + track.song().String()))
	r := rand.New(rand.NewPCG(h.Sum64(), uint64(1000*n+time)))
	r.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all[:n]
}
