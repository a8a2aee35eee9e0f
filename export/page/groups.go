package page

import (
	"strconv"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// groups finds the reference group of each track and draws each group once.
type groups struct {
	judge  *standout.Judge
	byID   map[int64]*library.Track
	byKey  map[string]*group
	pool   map[int64]standout.Track
	tracks []*library.Track                    // the references of the library
	stats  map[standout.Quantity]standout.Stat // and their figures
}

// outsider is a track of no tempo that is not in the library: it is held against
// all references.
var outsider = standout.Track{ID: -1, BPM: detect.None, Level: detect.None}

func newGroups(tracks []library.Track, opts standout.Options) *groups {
	g := &groups{byID: map[int64]*library.Track{}, byKey: map[string]*group{}, pool: map[int64]standout.Track{}}
	for i := range tracks {
		g.byID[tracks[i].ID] = &tracks[i]
	}
	pool := library.Pool(tracks)
	for _, s := range pool {
		g.pool[s.ID] = s
	}
	g.judge = standout.New(pool, opts)
	for _, id := range g.judge.Group(outsider) {
		g.tracks = append(g.tracks, g.byID[id])
	}
	g.stats = g.judge.Judge(outsider).Reference.Stats
	return g
}

// of is the group that t is held against, nil without one.
func (g *groups) of(t *library.Track) *group {
	s, ok := g.pool[t.ID]
	if !ok || t.Reference.Basis == "fixed" {
		return nil
	}
	ids := g.judge.Group(s)
	var b strings.Builder
	for _, id := range ids {
		b.WriteString(strconv.FormatInt(id, 36))
		b.WriteByte(' ')
	}
	key := b.String()
	if known, ok := g.byKey[key]; ok {
		return known
	}
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
	drawn := newGroup(len(g.byKey)+1, p10[:n], p50[:n], p90[:n])
	g.byKey[key] = drawn
	return drawn
}
