package page

import (
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Listen is what the page of a track says of listening to it; the rest is in the dock, which
// asks the server.
type Listen struct {
	ID int64
}

// References are those of the library, that a track of no tempo is held against.
func References(tracks []library.Track, judge standout.Options) []*library.Track {
	return newGroups(these(tracks), Options{Judge: judge}).tracks
}
