package reason

import (
	"fmt"
	"math"
	"strings"
)

// Clock writes seconds as a player's display does, m:ss and from an hour on h:mm:ss.
// What is past the whole second is cut off: 59.6 s is 0:59. It is empty for a time that
// does not exist, which NaN, the infinities and negative ones are.
func Clock(seconds float64) string {
	if !(seconds >= 0) || math.IsInf(seconds, 1) {
		return ""
	}
	s := int64(seconds)
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// Counted puts a number before what it counts: 1 track, 2 tracks.
func Counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Capital begins a sentence. The program ffmpeg is written as it writes itself.
func Capital(s string) string {
	if s == "" || strings.HasPrefix(s, "ffmpeg") {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// Place writes a time in a track to the millisecond, to find it in an editor: 1:05.250.
func Place(seconds float64) string {
	ms := int64(math.Round(seconds * 1000)) // first, as 59.9999 s is no 60 s of a minute
	return fmt.Sprintf("%d:%02d.%03d", ms/60000, ms/1000%60, ms%1000)
}

// mostPlaces are listed at most.
const mostPlaces = 5

// Places lists times, the first five.
func Places(seconds []float64) string {
	var s []string
	for i, t := range seconds {
		if i == mostPlaces {
			return strings.Join(s, ", ") + " and on"
		}
		s = append(s, Place(t))
	}
	return strings.Join(s, ", ")
}
