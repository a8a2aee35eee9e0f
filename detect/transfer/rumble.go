package transfer

import "math"

const (
	// rumbleSpread is how far, in dB, the middle of all frames may lie above the
	// quietest tenth: noise in 15 bins of two quadratures each has 2 to 2.5 dB
	// there, what kicks and basses leave below 30 Hz 3.4 and more (used for fitting).
	rumbleSpread = 3.0
	// rumbleLeast is the faintest rumble that is named, dBFS.
	rumbleLeast = -56.0
	// rumbleTied is the highest correlation of its level with that of the bass, both
	// in dB over the frames, that leaves it a thing of its own.
	rumbleTied = 0.45
)

// steadyLow is the level of noise below the music, dBFS, in what of gives of a frame;
// NaN where it does not go on through the quiet moments.
func (l *low) steadyLow(of func(f *lowFrame) float32) float64 {
	from, to := trimmed(len(l.frames), lowHop/l.rate)
	if float64(to-from)*lowHop/l.rate < floorLeast {
		return math.NaN()
	}
	level, bass := make([]float64, 0, to-from), make([]float64, 0, to-from)
	for i := from; i < to; i++ {
		f := &l.frames[i]
		level = append(level, decibels(of(f)))
		bass = append(bass, decibels(f.bass+f.bassSide))
	}
	tied := correlation(level, bass)
	quiet, usual := share(level, 0.1), share(level, 0.5)
	if quiet < rumbleLeast || usual-quiet > rumbleSpread || tied > rumbleTied {
		return math.NaN()
	}
	return usual
}

func sideRumble(f *lowFrame) float32 { return f.side }
func midRumble(f *lowFrame) float32  { return f.mid }

func decibels(power float32) float64 { return 10 * math.Log10(float64(power)+1e-20) }

// correlation is that of two lists of equal length, 0 where one does not vary.
func correlation(x, y []float64) float64 {
	var sx, sy, xx, yy, xy float64
	n := float64(len(x))
	for i, a := range x {
		sx += a
		sy += y[i]
		xx += a * a
		yy += y[i] * y[i]
		xy += a * y[i]
	}
	d := (xx - sx*sx/n) * (yy - sy*sy/n)
	if d <= 0 {
		return 0
	}
	return (xy - sx*sy/n) / math.Sqrt(d)
}
