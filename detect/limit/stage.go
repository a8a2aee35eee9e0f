package limit

import (
	"math"

	"dubgauge/detect/truepeak"
)

// The times of the limiter, in seconds. Common practice has 1 to 5 ms, 5 to 20 ms and 50
// to 500 ms for masters; no source.
const (
	// attackS is how far it looks ahead and how long it takes to turn down: long
	// enough that the gain moves slower than the bass (a quarter of a wave of 60 Hz),
	// short enough to be masked by the peak that follows (backward masking lasts some 5 ms).
	attackS = 0.004
	// holdS is half a wave of 40 Hz: the gain does not follow the waves of a kick or
	// a bass, which would distort them.
	holdS = 0.0125
	// releaseS is the time in which all but 1/e of a reduction is given back: between
	// two kicks (0.47 s at 128 BPM) it recovers, and does not flutter within a note.
	releaseS = 0.1
	// shadowS is how long behind a higher peak a lower one is not looked at. It
	// shortens the hold by no more than that.
	shadowS = 0.001
)

// settled is how near to 1 a recovering gain counts as 1: 0.0001 dB.
const settled = 1e-5

// hop is the number of samples a channel that are worked on at a time.
const hop = 256 * truepeak.Span

// stage is the limiter without the gain before it. It has the rows of the channels and,
// behind them, one row of ones, which is turned down with them and then holds the gain.
type stage struct {
	ceiling float32
	finder  *truepeak.Finder
	attack  int // samples
	shadow  int
	rows    [][]float32 // Margin, hop, attack, Margin; the hop is what goes out next
	fill    int
	skip    int       // samples still to be left out at the start: the run-in
	owed    int64     // samples taken in and not yet given out
	need    []float64 // n of a hop, so much ahead
	hold    sliding
	let     float64 // r
	last    float64 // e
	means   [2]mean
	out     [][]float32
	give    func(rows [][]float32)
}

func newStage(rate, channels int, ceiling float64, give func([][]float32)) *stage {
	samples := func(s float64) int { return max(2, int(math.Round(s*float64(rate)))) }
	a := samples(attackS)
	s := &stage{
		ceiling: float32(ceiling), finder: truepeak.NewFinder(), attack: a, shadow: samples(shadowS),
		need: make([]float64, hop), hold: newSliding(a + samples(holdS) + 1),
		let: 1 - math.Exp(-1/(releaseS*float64(rate))), last: 1,
		means: [2]mean{newMean(a/2 + 1), newMean(a - a/2 + 1)}, give: give,
	}
	for range channels + 1 {
		s.rows = append(s.rows, make([]float32, 2*truepeak.Margin+hop+a))
		s.out = append(s.out, nil)
	}
	// What is before the track is silence. The first hop begins so far before it that
	// the means know of no other gain than that of the track, and that what the first
	// sample rings back is looked at.
	s.skip = a + truepeak.Span
	s.fill = truepeak.Margin + s.skip
	for range a {
		s.hold.push(1)
	}
	return s
}

// write takes samples in and gives out what is done.
func (s *stage) write(rows [][]float32) {
	for from, n := 0, len(rows[0]); from < n; {
		took := 0
		for c, row := range s.rows {
			took = copy(row[s.fill:], rows[c][from:])
		}
		from += took
		s.fill += took
		s.owed += int64(took)
		if s.fill == len(s.rows[0]) {
			s.work()
		}
	}
}

// end gives out what is still owed; silence comes behind the track.
func (s *stage) end() {
	for s.owed > 0 {
		for _, row := range s.rows {
			clear(row[s.fill:])
		}
		s.work()
	}
}

// work finds what gain the hop needs, applies it, and gives the hop out.
func (s *stage) work() {
	channels := len(s.rows) - 1
	for i := range s.need {
		s.need[i] = 1
	}
	for _, row := range s.rows[:channels] {
		s.finder.Over(row[s.attack:], s.ceiling, s.shadow, func(i int, peak float32) {
			i -= truepeak.Margin
			s.need[i] = min(s.need[i], float64(s.ceiling)/float64(peak))
		})
	}
	for i, n := range s.need {
		held := s.hold.push(n)
		s.last = min(held, s.last+s.let*(1-s.last))
		if 1-s.last < settled {
			s.last = 1
		}
		g := s.means[1].push(s.means[0].push(s.last))
		if g >= 1 {
			continue
		}
		for _, row := range s.rows {
			v := &row[truepeak.Margin+i]
			*v = float32(float64(*v) * g)
		}
	}
	s.giveHop()
}

// giveHop hands the hop on, and makes room for the next.
func (s *stage) giveHop() {
	from := truepeak.Margin + s.skip
	to := truepeak.Margin + hop
	to = int(min(int64(to), int64(from)+s.owed))
	s.owed -= int64(to - from)
	s.skip = 0
	for c, row := range s.rows {
		s.out[c] = row[from:to]
	}
	if to > from {
		s.give(s.out)
	}
	for _, row := range s.rows {
		copy(row, row[hop:])
	}
	s.fill -= hop
}
