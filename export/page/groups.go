package page

import (
	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// groups finds the reference group of each track and draws each group once.
type groups struct {
	byID   map[int64]*library.Track
	known  map[*int64]*group                   // by the first of their members: tracks of one group share them
	tracks []*library.Track                    // the references of the library
	stats  map[standout.Quantity]standout.Stat // and their figures
}

// outsider is a track of no tempo that is not in the library: it is held against
// all references.
var outsider = standout.Track{ID: -1, BPM: detect.None, Level: detect.None}

func newGroups(tracks []library.Track, opts standout.Options) *groups {
	g := &groups{byID: map[int64]*library.Track{}, known: map[*int64]*group{}}
	for i := range tracks {
		g.byID[tracks[i].ID] = &tracks[i]
	}
	all := standout.New(library.Pool(tracks), opts).Judge(outsider)
	for _, id := range all.Members {
		g.tracks = append(g.tracks, g.byID[id])
	}
	g.stats = all.Reference.Stats
	return g
}

// of is the group that t is held against, nil without one.
func (g *groups) of(t *library.Track) *group {
	if len(t.Members) == 0 || t.Reference.Basis == "fixed" {
		return nil
	}
	key := &t.Members[0]
	if known, ok := g.known[key]; ok {
		return known
	}
	ids := t.Members
	spectra := make([]detect.Spectrum, 0, len(ids))
	levels := make([]detect.Value, 0, len(ids))
	for _, id := range ids {
		if m := g.byID[id]; m != nil {
			spectra = append(spectra, m.Spectrum)
			levels = append(levels, m.Loudness.Loudest30sLUFS)
		}
	}
	p10, p50, p90 := standout.Bands(spectra, levels)
	n := min(thirds, len(p10))
	if n == 0 {
		return nil
	}
	drawn := newGroup(len(g.known)+1, p10[:n], p50[:n], p90[:n])
	g.known[key] = drawn
	return drawn
}
