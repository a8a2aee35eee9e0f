package transfer

import "math"

const (
	// rumbleSpread is how far, in dB, the middle of all turns of a record may lie above the
	// quietest tenth. A turn evens out what noise does by itself, and what comes and goes
	// with the turns; of rumble planted in eight masters used for fitting it leaves 0.7 to
	// 1.6 dB, of kicks and basses below 28 Hz mostly 2 and more.
	rumbleSpread = 1.75
	// rumbleLeast is the faintest rumble that is named, dBFS, in the quietest tenth.
	rumbleLeast = -56.0
	// rumbleTied is the highest correlation of its level with that of the bass, both
	// in dB over the frames, that leaves it a thing of its own.
	rumbleTied = 0.45
	// rumbleRepeats is how well it may repeat: what music leaves down there comes again with
	// its bars or stands on its beat, noise does neither. Of the 13 open pieces that were
	// steady enough to be named one has 0.20, the others 0.28 to 0.95; planted noise has 0.06
	// to 0.14 by itself, and up to 0.28 in pieces with a little of their own beside it.
	rumbleRepeats = 0.28
)

// steadyLow is the level of noise below the music, dBFS, in a side; NaN where it does not
// go on through the quiet moments, or repeats.
func (l *low) steadyLow(side int) float64 {
	from, to := trimmed(len(l.frames), lowHop/l.rate)
	if float64(to-from)*lowHop/l.rate < floorLeast {
		return math.NaN()
	}
	power, level, bass := make([]float64, 0, to-from), make([]float64, 0, to-from), make([]float64, 0, to-from)
	for i := from; i < to; i++ {
		f := &l.frames[i]
		power = append(power, float64(f.rumble[side]))
		level = append(level, decibels(f.rumble[side]))
		bass = append(bass, decibels(f.bass))
	}
	turned := byTurn(power, l.rate/lowHop)
	usual := share(turned, 0.5)
	if correlation(level, bass) > rumbleTied || share(level, 0.1) < rumbleLeast || usual-share(turned, 0.1) > rumbleSpread {
		return math.NaN()
	}
	if l.waves.repeats(side) > rumbleRepeats {
		return math.NaN()
	}
	return usual
}

// byTurn is the level in dB over each turn of a record at 33 1/3 a minute of powers that
// come at a rate.
func byTurn(power []float64, rate float64) (out []float64) {
	n := max(1, int(math.Round(rate/turntables[0])))
	sum := 0.0
	for i, p := range power {
		if sum += p; i >= n {
			sum -= power[i-n]
		}
		if i >= n-1 {
			out = append(out, decibels(float32(sum/float64(n))))
		}
	}
	return out
}

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
