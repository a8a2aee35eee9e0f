package studio

import "dubgauge/cmd/dubgauge/sound"

// Defect is something that goes wrong with a track, at one of three places: in
// the mix before it is mastered, in the mastering, or in the finished file.
type Defect struct {
	Name string
	// Level, shape of the spectrum, or over time: which part of the table it
	// belongs to.
	Group string
	// Filter is the equaliser of a defect that is one: nil for the others.
	Filter func() *sound.Biquad
	// Mix spoils the mix, which is then mastered to the loudness it would have
	// had: nil for the others.
	Mix func(sound.Audio)
	// Master spoils the finished master: nil for the others.
	Master func(a sound.Audio, w Where) sound.Audio
}

// Where tells a defect about the piece and gives it its randomness.
type Where struct {
	Seed uint64
	Bar  float64 // seconds, of a bar
	From float64 // seconds, where the first drop begins
	To   float64 // seconds, where the second ends
}

// middle is the sample in the middle of the loud part, a little off any bar
// line.
func (w Where) middle() int { return int(((w.From+w.To)/2 + 0.137*w.Bar) * sound.Rate) }

// Groups of defects.
const (
	LevelGroup    = "level"
	SpectrumGroup = "spectrum"
	TimeGroup     = "time"
)

// Defects lists them in the order of the table.
func Defects() []Defect {
	list := levelDefects()
	list = append(list, spectrumDefects()...)
	list = append(list, holeDefects()...)
	list = append(list, channelDefects()...)
	list = append(list, edgeDefects()...)
	return append(list, mediumDefects()...)
}

// ceiling keeps a spoilt master's peaks where a master's peaks are.
func ceiling(a sound.Audio) sound.Audio {
	sound.LimitTruePeak(a.L, a.R, sound.Decibels(DefaultChain.Ceiling))
	return a
}

func levelDefects() []Defect {
	gain := func(dB float64) func(sound.Audio, Where) sound.Audio {
		return func(a sound.Audio, _ Where) sound.Audio { a.Gain(dB); return a }
	}
	return []Defect{
		{Name: "gain -3", Group: LevelGroup, Master: gain(-3)},
		{Name: "gain +3", Group: LevelGroup, Master: louder},
		{Name: "gain -6", Group: LevelGroup, Master: gain(-6)},
	}
}

// louder drives the limiter until the master is 3 LU louder, or nearly, where
// there is no more to be had.
func louder(a sound.Audio, _ Where) sound.Audio {
	before, drive := Loudness(a).Integrated, 4.0
	var out sound.Audio
	for range 4 {
		out = a.Clone()
		out.Gain(drive)
		out.Both(saturate)
		out = ceiling(out)
		got := Loudness(out).Integrated - before
		if got > 2.8 {
			break
		}
		drive += 2 * (3 - got)
	}
	return out
}

// shape is an equaliser that makes a spectrum wrong.
type shape struct {
	name   string
	design func() *sound.Biquad
}

func shapes() []shape {
	low := func(name string, hz, dB float64) shape {
		return shape{name, func() *sound.Biquad { return sound.LowShelf(hz, dB) }}
	}
	high := func(name string, hz, dB float64) shape {
		return shape{name, func() *sound.Biquad { return sound.HighShelf(hz, dB) }}
	}
	bell := func(name string, hz, dB float64) shape {
		return shape{name, func() *sound.Biquad { return sound.Bell(hz, dB, broad) }}
	}
	return []shape{
		low("low shelf 100 Hz -6", 100, -6), low("low shelf 100 Hz +6", 100, 6),
		low("low shelf 100 Hz -4", 100, -4), low("low shelf 100 Hz +4", 100, 4),
		low("low shelf 60 Hz -6", 60, -6), low("low shelf 60 Hz +6", 60, 6),
		high("high shelf 8 kHz -8", 8000, -8), high("high shelf 8 kHz +8", 8000, 8),
		high("high shelf 8 kHz -4", 8000, -4), high("high shelf 8 kHz +4", 8000, 4),
		bell("presence 3.5 kHz +5", 3500, 5), bell("mids 350 Hz -6", 350, -6), bell("mids 350 Hz +6", 350, 6), bell("mids 800 Hz -6", 800, -6),
		high("dull tilt", 1200, -5), // a shelf this low tilts the whole
	}
}

// broad is the quality of bells, about two octaves wide.
const broad = 0.7

// spectrumDefects has each shape twice: in the mix, which was then mastered, and
// on the finished master, peaks kept in check.
func spectrumDefects() []Defect {
	var out []Defect
	for _, s := range shapes() {
		out = append(out, Defect{Name: s.name + " (mix)", Group: SpectrumGroup, Filter: s.design, Mix: func(a sound.Audio) { a.Filter(s.design) }})
		out = append(out, Defect{Name: s.name + " (master)", Group: SpectrumGroup, Filter: s.design, Master: func(a sound.Audio, _ Where) sound.Audio {
			a.Filter(s.design)
			return ceiling(a)
		}})
	}
	return out
}
