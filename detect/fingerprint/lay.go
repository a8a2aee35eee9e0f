package fingerprint

import "math/bits"

const (
	// leastDistinct seconds must be the same in two tracks of one tune that do not repeat one
	// another: four blocks, see distinct. Two tunes over one loop of four bars, with the same
	// drums and at nearly the same tempo, share up to three.
	leastDistinct = 16
	// leastShare of the shorter one must be the same: tunes that begin with the same drums,
	// or take the same record for a sample, are different tunes. Our judgement, no source.
	leastShare = 1.0 / 3
	// span is over how many sub-prints two prints are compared: 8 s.
	span = 43
	// sameShare is the share of the bits that may differ over a span of the same music.
	sameShare = 0.30
)

// laid is a print with others laid on it: where they are the same.
type laid struct {
	differ []uint8 // bits that differ, of each sub-print; unheard where one says nothing
	best   []uint8 // the same of those that are the same music, else unheard
	other  []bool  // the places of the other that are the same music
	at     int     // the first place that is the same, and where it lies in the other
	there  int
}

// unheard stands for a sub-print that cannot be compared.
const unheard = 0xff

func (l *laid) start(p, q Print) {
	l.other = append(l.other[:0], make([]bool, len(q))...)
	l.best = append(l.best[:0], make([]uint8, len(p))...)
	for i := range l.best {
		l.best[i] = unheard
	}
	l.at, l.there = -1, 0
}

// lay compares p with q, in which it stands so much later, and notes the places that are
// the same.
func (l *laid) lay(p, q Print, later int) {
	from, to := max(0, -later), min(len(p), len(q)-later)
	if to-from < leastPrint {
		return
	}
	l.compare(p[from:to], q[from+later:to+later])
	sum, heard := 0, 0
	add := func(d uint8, by int) {
		if d != unheard {
			sum, heard = sum+by*int(d), heard+by
		}
	}
	for _, d := range l.differ[:span/2] {
		add(d, 1)
	}
	for i, d := range l.differ {
		if ahead := i + span/2; ahead < len(l.differ) {
			add(l.differ[ahead], 1)
		}
		if behind := i - span/2 - 1; behind >= 0 {
			add(l.differ[behind], -1)
		}
		if d == unheard || heard < span/2 || float64(sum) > sameShare*bitsPrint*float64(heard) {
			continue
		}
		l.best[from+i] = min(l.best[from+i], d)
		l.other[from+i+later] = true
		if l.at < 0 || from+i < l.at {
			l.at, l.there = from+i, from+i+later
		}
	}
}

// compare fills differ.
func (l *laid) compare(p, q Print) {
	l.differ = l.differ[:0]
	for i, v := range p {
		d := uint8(unheard)
		if v != 0 && q[i] != 0 {
			d = uint8(bits.OnesCount32(v ^ q[i]))
		}
		l.differ = append(l.differ, d)
	}
}

// result sums up what was noted on p.
func (l *laid) result(p Print) Match {
	n, sum := 0, 0
	for _, d := range l.best {
		if d != unheard {
			n, sum = n+1, sum+int(d)
		}
	}
	there := 0
	for _, same := range l.other {
		if same {
			there++
		}
	}
	m := Match{Seconds: float64(min(n, there)) * Step}
	if n < leastPrint*blockHeard/blockSteps {
		return m
	}
	m.Differ = float64(sum) / float64(n*bitsPrint)
	m.At, m.There = float64(l.at)*Step, float64(l.there)*Step
	m.Distinct = l.distinct(p)
	return m
}
