package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// Foreign data read as samples is white: the mean square of the differences is twice
	// that of the samples, without their mean. Of 64 samples it is 1.25 at the least, of
	// all together whiteFrom to whiteTo times. Snares and noise effects have less at
	// the top.
	foreignSlope       = 1.25
	whiteFrom, whiteTo = 1.65, 2.4
	// Bytes that use all values have a mean square of a third, text as 16 bit samples,
	// which uses a third of the range, one near 0.02 beside a mean of a third of full
	// scale and more, which no music has for so long.
	foreignLevel, textLevel, textMean = 0.2, 0.004, 0.15
	// foreignCorrelation is the most that the channels may have in common: noise of an
	// instrument is often in the middle, data never.
	foreignCorrelation = 0.25
	// foreignSeconds is the shortest stretch: hats and crashes of white noise are as
	// loud and as unlike in the channels, but shorter; 64 KiB, two common clusters of a
	// stick, are 0.37 s of 16-bit stereo at 44.1 kHz.
	foreignSeconds = 0.3
	// Bytes of any value at one level, of flatFrom to flatTo a cell, no instrument gives:
	// there flatSeconds are enough, a cluster of 4 KiB. 64 such samples have a mean square
	// of 1/3 with a standard deviation of 0.037.
	flatSeconds      = 0.020
	flatFrom, flatTo = 0.18, 0.52
	// foreignLongest is the longest stretch that is taken for a cluster or some: noise
	// that lasts longer is a piece of noise.
	foreignLongest = 20.0
	maxForeign     = 100
)

// stretch is a part of the track in samples.
type stretch struct{ start, end int64 }

// foreign looks for stretches of data that are no sound.
type foreign struct {
	channels int
	shortest int64
	flat     int64 // the shortest stretch at one level
	longest  int64
	open     bool
	even     bool // all cells of the open stretch but the first and the last have one level
	last     bool // the last one has it
	now      stretch
	sums     data
	found    []stretch
	more     bool
}

// data sums up a stretch; mean squares are times its samples.
type data struct{ ac, slope, cross, mean, n float64 }

func newForeign(channels int, rate float64, cell int) foreign {
	return foreign{
		channels: channels, longest: int64(foreignLongest * rate),
		shortest: max(int64(2*cell), int64(foreignSeconds*rate)), flat: max(int64(2*cell), int64(flatSeconds*rate)),
	}
}

// cell takes the sums of n samples at a place. Data is interleaved, so that all
// channels have it.
func (f *foreign) cell(cells *[2]cell, cross float32, n int, at int64) {
	odd, even, k := true, true, float32(n)
	for c := range f.channels {
		mean := cells[c].sum / k
		ac := cells[c].energy - k*mean*mean
		odd = odd && ac >= textLevel*k && cells[c].slope >= foreignSlope*ac
		even = even && ac >= flatFrom*k && ac <= flatTo*k
	}
	switch {
	case odd:
		if !f.open {
			f.open, f.even, f.now.start, f.sums = true, true, at, data{}
			even = true // the first cell and the last are data in part
		} else {
			f.even = f.even && f.last
		}
		f.last = even
		f.now.end = at + int64(n)
		f.sums.add(cells, cross, f.channels, float64(n))
	case f.open && at-f.now.end >= int64(n): // one cell may miss by chance
		f.close()
	}
}

// add adds a cell's sums.
func (d *data) add(cells *[2]cell, cross float32, channels int, n float64) {
	product := float64(cross)
	for c := range channels {
		mean := float64(cells[c].sum) / n
		d.ac += float64(cells[c].energy) - n*mean*mean
		d.slope += float64(cells[c].slope)
		d.mean += float64(cells[c].sum)
		if c == 1 {
			product -= float64(cells[0].sum) * mean
		}
	}
	d.cross += product
	d.n += n * float64(channels)
}

// alien tells whether the sums are those of data.
func (d *data) alien() bool {
	white := d.slope/d.ac >= whiteFrom && d.slope/d.ac <= whiteTo
	apart := math.Abs(2*d.cross) <= foreignCorrelation*d.ac
	level := d.ac >= foreignLevel*d.n || math.Abs(d.mean) >= textMean*d.n
	return white && apart && level
}

func (f *foreign) close() {
	f.open = false
	shortest := f.shortest
	if f.even {
		shortest = f.flat
	}
	if n := f.now.end - f.now.start; n < shortest || n > f.longest || !f.sums.alien() {
		return
	}
	if len(f.found) == maxForeign {
		f.more = true
		return
	}
	f.found = append(f.found, f.now)
}

// alien names the stretches. A track that has very many is made of such noise.
func (m *Meter) alien() []Finding {
	f := &m.foreign
	if f.open {
		f.close()
	}
	if f.more {
		return nil
	}
	var out []Finding
	for _, s := range f.found {
		d := m.seconds(s.end - s.start)
		out = append(out, Finding{
			Kind: reason.Foreign, At: m.seconds(s.start), Until: m.seconds(s.end), Figure: d,
			Detail: fmt.Sprintf("%s of noise without a spectrum, as data that is no sound gives, at %s", span(math.Round(d*1000)/1000), reason.Place(m.seconds(s.start))),
		})
	}
	return out
}
