package export

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
	tracks []*library.Track // the references of the library
}

func newGroups(tracks []library.Track, opts standout.Options) *groups {
	g := &groups{byID: map[int64]*library.Track{}, byKey: map[string]*group{}, pool: map[int64]standout.Track{}}
	for i := range tracks {
		g.byID[tracks[i].ID] = &tracks[i]
	}
	pool := library.Pool(tracks)
	named := false
	for _, s := range pool {
		g.pool[s.ID] = s
		if s.Problem != nil || !s.Level.Exists() {
			continue
		}
		if s.Named && !named {
			named, g.tracks = true, nil // named ones lead: no other serves
		}
		if s.Named || s.Reference && !named {
			g.tracks = append(g.tracks, g.byID[s.ID])
		}
	}
	g.judge = standout.New(pool, opts)
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
