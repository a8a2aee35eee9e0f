package words

import (
	"testing"
	"time"

	"dubgauge/library"
)

func TestProgress(t *testing.T) {
	for _, c := range []struct {
		p    library.Progress
		want string
	}{
		{library.Progress{Phase: library.Looking, Total: 1}, "looking: 1 track found"},
		{library.Progress{Phase: library.Comparing, Total: 40}, "comparing 40 tracks with what is known"},
		{library.Progress{Phase: library.Matching, Total: 40}, "looking for versions of one tune among 40 tracks"},
		{library.Progress{Phase: library.Measuring, Done: 12, Total: 40, AudioSeconds: 850, Elapsed: 10 * time.Second, Left: 80 * time.Second}, "12 of 40 tracks, 85 times realtime, 1:20 min left"},
		{library.Progress{Phase: library.Measuring, Done: 40, Total: 40, AudioSeconds: 60, Elapsed: time.Second}, "40 of 40 tracks, 60 times realtime, 0:00 min left"},
		{library.Progress{Phase: library.Measuring, Total: 40, AudioSeconds: 9, Elapsed: 999 * time.Millisecond, Left: -1}, "0 of 40 tracks, starting, working out the time left"},
	} {
		if got := Progress(c.p); got != c.want {
			t.Errorf("%+v: %q, want %q", c.p, got, c.want)
		}
	}
}
