package store

import (
	"encoding/binary"
	"fmt"

	"github.com/cespare/xxhash/v2"

	"dubgauge/library/track"
)

// sharedGroups lets tracks of one reference group share the list of its members, whoever
// worked it out, and numbers the groups from 1 in the order in which they come up.
type sharedGroups struct {
	byFirst   map[*int64]sharedGroup
	byMembers map[uint64]sharedGroup // by the hash of what tells groups apart
	key       []byte
}

type sharedGroup struct {
	number  int
	members []int64
}

func newSharedGroups() *sharedGroups {
	return &sharedGroups{byFirst: map[*int64]sharedGroup{}, byMembers: map[uint64]sharedGroup{}}
}

// share gives a track the list that others of its group have, and returns the group's
// number.
func (g *sharedGroups) share(t *track.Track) int {
	if len(t.Members) > 0 {
		if known, ok := g.byFirst[&t.Members[0]]; ok {
			return known.number
		}
	}
	g.key = fmt.Appendf(g.key[:0], "%v %v", t.TakesPart(), t.Reference.LUFS)
	for _, id := range t.Members {
		g.key = binary.AppendVarint(g.key, id)
	}
	key := xxhash.Sum64(g.key)
	known, ok := g.byMembers[key]
	if !ok {
		known = sharedGroup{len(g.byMembers) + 1, t.Members}
		g.byMembers[key] = known
		if len(t.Members) > 0 {
			g.byFirst[&t.Members[0]] = known
		}
	}
	t.Members = known.members
	return known.number
}
