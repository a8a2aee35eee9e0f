package words

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

func TestWhatTheFileHasRoomFor(t *testing.T) {
	for _, c := range []struct {
		trim, safe detect.Value
		less       bool
	}{
		{4, 4, false}, {4, 1, true}, {4, 0, true}, {4, detect.None, true}, {0, 0, false}, {-2, -2, false}, {detect.None, detect.None, false},
	} {
		x := library.Track{Judgement: standout.Judgement{Trim: standout.Trim{TrimDB: c.trim, SafeDB: c.safe}}}
		if got := BakedLess(&x); got != c.less {
			t.Errorf("%v in the file of %v: less is %v", c.safe, c.trim, got)
		}
	}
}
