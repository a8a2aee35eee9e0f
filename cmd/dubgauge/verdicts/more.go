package main

import (
	"fmt"
	"hash/fnv"
	"math"
	"slices"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
	"dubgauge/detect/balance"
	"dubgauge/detect/spectrum"
)

// Four songs of a genre that are spoilt in earnest make rows of eighteen, with a standard
// error of up to 12 points. The other songs can be spoilt in their figures: what a filter does
// to the third octaves of each second is known, and what the limiter behind it adds is taken
// from one of the songs that went through it. A gain is nothing else from the start.

// shift is what a defect does to the figures of a song: see figures; to its true and its sample
// peak, in dB; and to how much of it touches the top, as a factor, 0 where that is not known.
type shift struct {
	figures            []float64
	peak, samples, top float64
}

// between is what a defect did to a song that was measured with it.
func between(clean, spoilt *Record) shift {
	was, is := &clean.Measurement, &spoilt.Measurement
	s := shift{figures: figures(spoilt), peak: float64(is.Peak.TruePeakDBTP - was.Peak.TruePeakDBTP),
		samples: float64(is.Peak.SamplePeakDBFS - was.Peak.SamplePeakDBFS)}
	if is.Limiting != nil && was.Limiting != nil && was.Limiting.FlatShare > 0 {
		s.top = float64(is.Limiting.FlatShare / was.Limiting.FlatShare)
	}
	for i, v := range figures(clean) {
		s.figures[i] -= v
	}
	return s
}

// responses are the power gains of a filter in each third octave, at the middles of its
// thirds.
func responses(f *sound.Biquad) (out [spectrum.Bands]float64) {
	third := math.Pow(10, 1.0/30)
	for b := range out {
		for i := -1; i <= 1; i++ {
			out[b] += f.Power(math.Min(0.49*sound.Rate, spectrum.Exact(b)*math.Pow(third, float64(i)))) / 3
		}
	}
	return out
}

// throughFilter is what a filter does to a song, by its third octaves second by second.
func throughFilter(r *Record, f *sound.Biquad) []float64 {
	var none [spectrum.Bands]float64
	for b := range none {
		none[b] = 1
	}
	before, after := balanced(r, none), balanced(r, responses(f))
	for i := range after {
		after[i] -= before[i]
	}
	return after
}

// balanced are the figures of a song with its third octaves multiplied by gains. The level
// is that of the loudest window by the weighting of third octaves: only differences count.
func balanced(r *Record, gains [spectrum.Bands]float64) []float64 {
	const n = int(balance.WindowSeconds)
	loudest := math.Inf(-1)
	got := balance.Over(func(each func([]float64)) {
		sum, bands := make([]float64, spectrum.Bands), make([]float64, spectrum.Bands)
		for t, levels := range r.Thirds {
			for b := range sum {
				sum[b] += power(levels[b]) * gains[b]
				if t >= n {
					sum[b] -= power(r.Thirds[t-n][b]) * gains[b]
				}
				bands[b] = math.Max(0, sum[b]) / float64(n)
			}
			if t >= n-1 {
				loudest = math.Max(loudest, balance.Weighted(bands))
				each(bands)
			}
		}
	})
	return append([]float64{got.Low, got.LowMid, got.Mid, got.Presence, got.Treble, got.Air, got.SubShare, loudest}, got.Thirds[:]...)
}

func power(dB detect.Value) float64 {
	if !dB.Exists() {
		return 0
	}
	return math.Pow(10, float64(dB)/10)
}

// plant spoils the songs that were not measured with a defect in their figures. It returns
// how many there are.
func (b *bench) plant() (songs int) {
	for _, d := range studio.Defects() {
		if d.Group == studio.TimeGroup {
			continue
		}
		models := b.models(d.Name)
		if len(models) == 0 {
			continue
		}
		songs = 0
		for _, clean := range b.songs {
			if clean.Spec.Genre == openMusic || b.with(clean, d.Name) != nil {
				continue
			}
			h := fnv.New64a()
			fmt.Fprint(h, clean.Spec, d.Name)
			b.spoilt[clean.Spec] = append(b.spoilt[clean.Spec], inFigures(clean, d, models[h.Sum64()%uint64(len(models))]))
			songs++
		}
	}
	return songs
}

// model is a song that was measured with a defect, what that did, and what its filter alone
// would have done.
type model struct {
	did   shift
	alone []float64 // nil for a gain
}

// models of a defect.
func (b *bench) models(defect string) (out []model) {
	for _, clean := range b.songs {
		r := b.with(clean, defect)
		if r == nil || clean.Spec.Genre == openMusic {
			continue
		}
		m := model{did: between(clean, r)}
		if d := defectNamed(defect); d.Filter != nil {
			m.alone = throughFilter(clean, d.Filter())
		}
		out = append(out, m)
	}
	return out
}

func defectNamed(name string) *studio.Defect {
	for _, d := range studio.Defects() {
		if d.Name == name {
			return &d
		}
	}
	return nil
}

// with is the record of a song with a defect, nil when there is none.
func (b *bench) with(clean *Record, defect string) *Record {
	for _, r := range b.spoilt[clean.Spec] {
		if r.Spec.Defect == defect {
			return r
		}
	}
	return nil
}

// inFigures is a song with a defect in its figures: what its filter does to this song, and what
// the limiter made of that in another. A mix is mastered to the level that it would have had.
func inFigures(clean *Record, d studio.Defect, m model) *Record {
	out := *clean
	out.Spec.Defect = d.Name
	by := append([]float64(nil), m.did.figures...)
	if m.alone != nil {
		for i, v := range throughFilter(clean, d.Filter()) {
			if i != levelFigure || d.Mix == nil {
				by[i] += v - m.alone[i]
			}
		}
	}
	l, t := &out.Measurement, &out.Measurement.Balance
	t.ThirdsDB = slices.Clone(t.ThirdsDB)
	to := []*detect.Value{&t.LowDB, &t.LowMidDB, &t.MidDB, &t.PresenceDB, &t.TrebleDB, &t.AirDB, &t.SubShareDB, &l.Loudness.Loudest30sLUFS}
	for i := range t.ThirdsDB {
		to = append(to, &t.ThirdsDB[i])
	}
	for i, v := range to {
		*v += detect.Value(by[i])
	}
	l.Peak.TruePeakDBTP += detect.Value(m.did.peak)
	l.Peak.SamplePeakDBFS += detect.Value(m.did.samples)
	l.Limiting = m.did.limited(l.Limiting)
	return &out
}

// limited is what is left of the flat tops; nil where that is not known.
func (s *shift) limited(was *detect.Limiting) *detect.Limiting {
	if was == nil || s.top == 0 {
		return nil
	}
	is := *was
	is.FlatShare = min(1, is.FlatShare*detect.Value(s.top))
	return &is
}
