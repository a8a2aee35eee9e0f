package studio

import (
	"fmt"

	"dubgauge/cmd/dubgauge/sound"
)

// holeDefects are holes of zeros in the middle of the music, and pieces of it
// that come twice or not at all.
func holeDefects() []Defect {
	var out []Defect
	for _, seconds := range []float64{0.02, 0.1, 0.3, 1, 8} {
		out = append(out, Defect{Name: fmt.Sprintf("hole %g s", seconds), Group: TimeGroup,
			Master: func(a sound.Audio, w Where) sound.Audio {
				at := w.middle()
				a.Part(at, at+int(seconds*sound.Rate)).Both(silence)
				return a
			}})
	}
	return append(out,
		Defect{Name: "repeated piece", Group: TimeGroup, Master: repeated},
		Defect{Name: "skipped piece", Group: TimeGroup, Master: skipped})
}

func silence(x []float64) { clear(x) }

// repeated plays 0.1 to 2 s twice or three times, as a player that skips does,
// out of the beat.
func repeated(a sound.Audio, w Where) sound.Audio {
	r := source("repeat", w.Seed, "defect")
	at, n := w.middle(), int(between(r, 0.1, 2)*sound.Rate)
	return join(a.Part(0, at), a.Part(at-n, at), a.Part(at, a.Len()))
}

// skipped leaves out a piece that is no whole number of sixteenths.
func skipped(a sound.Audio, w Where) sound.Audio {
	r := source("skip", w.Seed, "defect")
	sixteenths := float64(2+r.IntN(20)) + between(r, 0.3, 0.7)
	at := w.middle()
	return join(a.Part(0, at), a.Part(at+int(sixteenths/16*w.Bar*sound.Rate), a.Len()))
}

// join strings pieces together.
func join(pieces ...sound.Audio) (out sound.Audio) {
	for _, p := range pieces {
		out.L = append(out.L, p.L...)
		out.R = append(out.R, p.R...)
	}
	return out
}

// channelDefects make the channels unlike each other.
func channelDefects() []Defect {
	eight := int(8 * sound.Rate)
	part := func(f func(sound.Audio)) func(sound.Audio, Where) sound.Audio {
		return func(a sound.Audio, w Where) sound.Audio {
			f(a.Part(w.middle(), w.middle()+eight))
			return a
		}
	}
	whole := func(f func(sound.Audio)) func(sound.Audio, Where) sound.Audio {
		return func(a sound.Audio, _ Where) sound.Audio { f(a); return a }
	}
	return []Defect{
		{Name: "channel dead 8 s", Group: TimeGroup, Master: part(func(a sound.Audio) { clear(a.R) })},
		{Name: "channel dead from the middle", Group: TimeGroup, Master: func(a sound.Audio, w Where) sound.Audio {
			clear(a.L[w.middle():])
			return a
		}},
		{Name: "channel -3 dB", Group: TimeGroup, Master: whole(func(a sound.Audio) { sound.Scale(a.R, sound.Decibels(-3)) })},
		{Name: "channel 20 samples late", Group: TimeGroup, Master: whole(func(a sound.Audio) {
			copy(a.R[20:], a.R[:len(a.R)-20])
			clear(a.R[:20])
		})},
		{Name: "channels swapped for 8 s", Group: TimeGroup, Master: part(func(a sound.Audio) {
			for i := range a.L {
				a.L[i], a.R[i] = a.R[i], a.L[i]
			}
		})},
		{Name: "polarity flipped for 8 s", Group: TimeGroup, Master: part(func(a sound.Audio) { sound.Scale(a.R, -1) })},
	}
}

// edgeDefects cut a track where it is not over.
func edgeDefects() []Defect {
	off := func(w Where) int { return int(0.137 * w.Bar * sound.Rate) } // off the bar line
	return []Defect{
		{Name: "abrupt start", Group: TimeGroup, Master: func(a sound.Audio, w Where) sound.Audio {
			return a.Part(int(w.From*sound.Rate)+off(w), a.Len())
		}},
		{Name: "abrupt end", Group: TimeGroup, Master: func(a sound.Audio, w Where) sound.Audio {
			return a.Part(0, int(w.To*sound.Rate)-off(w))
		}},
		{Name: "cut fade", Group: TimeGroup, Master: cutFade},
	}
}

// cutFade fades the last 12 s out in a straight line and cuts it at 30 % of the
// level.
func cutFade(a sound.Audio, w Where) sound.Audio {
	end := int(w.To * sound.Rate)
	a = a.Part(0, end)
	n := 12 * sound.Rate
	a.Part(end-n, end).Both(func(x []float64) {
		for i := range x {
			x[i] *= 1 - 0.7*float64(i)/float64(n)
		}
	})
	return a
}
