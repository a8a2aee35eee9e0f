package words

import (
	"fmt"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// Clock writes seconds as minutes and seconds, with hours where there are any.
// Parts of a second are cut off, as a player's display does it: 59.6 s is 0:59.
func Clock(seconds float64) string { return reason.Clock(max(0, seconds)) }

// Clock is a place in a track.
func (s Style) Clock(v detect.Value) string {
	if !v.Exists() || v < 0 {
		return s.none
	}
	return Clock(float64(v))
}

// Duration says how long a job takes.
func Duration(d time.Duration) string {
	if d >= time.Hour {
		return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
	}
	return Clock(d.Seconds()) + " min"
}

// Day writes a date the way that reads the same everywhere.
func Day(t time.Time) string { return t.Format("2 January 2006, 15:04") }
