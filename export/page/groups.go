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

	spectra func(ids []int64) ([]library.Spectrum, error) // nil: the tracks have theirs
	read    map[int64]library.Spectrum
}

// outsider is a track of no tempo that is not in the library: it is held against
// all references.
var outsider = standout.Track{ID: -1, BPM: detect.None, Level: detect.None}

func newGroups(tracks []*library.Track, opts Options) *groups {
	g := &groups{byID: map[int64]*library.Track{}, known: map[*int64]*group{}, spectra: opts.Spectra, read: map[int64]library.Spectrum{}}
	for _, t := range tracks {
		g.byID[t.ID] = t
	}
	all := standout.New(library.PoolOf(tracks), opts.Judge).Judge(outsider)
	for _, id := range all.Members {
		g.tracks = append(g.tracks, g.byID[id])
	}
	g.stats = all.Reference.Stats
	return g
}

// of is the group that t is held against, nil without one.
func (g *groups) of(t *library.Track) (*group, error) {
	if len(t.Members) == 0 || t.Reference.Basis == "fixed" {
		return nil, nil
	}
	key := &t.Members[0]
	if known, ok := g.known[key]; ok {
		return known, nil
	}
	members, err := g.members(t.Members)
	if err != nil {
		return nil, err
	}
	spectra := make([]detect.Spectrum, 0, len(members))
	levels := make([]detect.Value, 0, len(members))
	for _, m := range members {
		spectra = append(spectra, m.Spectrum)
		levels = append(levels, m.Level)
	}
	p10, p50, p90 := standout.Bands(spectra, levels)
	n := min(thirds, len(p10))
	if n == 0 {
		return nil, nil
	}
	drawn := newGroup(len(g.known)+1, p10[:n], p50[:n], p90[:n])
	g.known[key] = drawn
	return drawn, nil
}

// members gives the spectra of references, each of which is read once.
func (g *groups) members(ids []int64) (all []library.Spectrum, err error) {
	var fresh []int64
	for _, id := range ids {
		if _, known := g.read[id]; known {
			continue
		}
		if g.spectra != nil {
			fresh = append(fresh, id)
		} else if m := g.byID[id]; m != nil {
			g.read[id] = library.Spectrum{ID: id, Spectrum: m.Spectrum, Level: m.Loudness.Loudest30sLUFS, Kick: m.Kick}
		}
	}
	if len(fresh) > 0 {
		read, err := g.spectra(fresh)
		if err != nil {
			return nil, err
		}
		for _, s := range read {
			g.read[s.ID] = s
		}
	}
	for _, id := range ids {
		if s, known := g.read[id]; known {
			all = append(all, s)
		}
	}
	return all, nil
}
