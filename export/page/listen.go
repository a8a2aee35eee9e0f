package page

import (
	"math"

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

// baseHeadroom in dB is how far every part is turned down before it is sent, so that peaks
// above full scale, which float and lossy files hold, are not cut. The reasons for 6 dB:
// decoded MP3 passes full scale by 2.3 dB at most on what was measured, and 24 bits lose
// nothing of use by it.
const baseHeadroom = 6.0

// Headroom in dB by which a server turns the parts of t down before it sends them: more than
// usual where the true peak asks for it.
func Headroom(t *library.Track) float64 {
	if p := float64(t.Peak.TruePeakDBTP); p > baseHeadroom {
		return math.Ceil(p)
	}
	return baseHeadroom
}
