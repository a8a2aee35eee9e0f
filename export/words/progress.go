package words

import (
	"fmt"
	"time"

	"dubgauge/library"
)

// Progress is one line about a scan: how far it is, how fast, and how long it still takes.
func Progress(p library.Progress) string {
	switch p.Phase {
	case library.Looking:
		return fmt.Sprintf("looking: %s found", Counted(p.Total, "track"))
	case library.Comparing:
		return fmt.Sprintf("comparing %s with what is known", Counted(p.Total, "track"))
	case library.Matching:
		return "looking for versions of one tune among " + Counted(p.Total, "track")
	}
	return fmt.Sprintf("%d of %s, %s, %s", p.Done, Counted(p.Total, "track"), Speed(p), Left(p.Left))
}

// Speed is how many seconds of music a scan measures in one.
func Speed(p library.Progress) string {
	if p.Elapsed < time.Second {
		return "starting"
	}
	return fmt.Sprintf("%.0f times realtime", p.AudioSeconds/p.Elapsed.Seconds())
}

// Left says how much longer a job takes; a negative time is one that cannot be told yet.
func Left(d time.Duration) string {
	if d < 0 {
		return "working out the time left"
	}
	return Duration(d) + " left"
}
