package limit

import "math"

// guardDB is how far under the ceiling the limiter works: what its interpolator errs by (side
// lobes of -50 dB are 0.03 dB), and what a gain that moves lets through, since what lies
// between samples of different gains is not what lay there before: thousandths of a dB.
const guardDB = 0.04

// Limiter turns a track up or down by a fixed gain and holds its true peak at a ceiling.
// Write everything, then End, then ask for the Reduction.
type Limiter struct {
	gain  float64
	stage *stage
	rows  [][]float32
	part  [][]float32 // of rows, as long as there are samples
	took  *took
}

// New makes a limiter for a rate in hertz; gainDB comes before it, the ceiling is in dBTP.
// What is done goes to give, in blocks that are valid during the call only, as many
// samples as were written.
func New(rate, channels int, gainDB, ceilingDBTP float64, give func(block [][]float32)) *Limiter {
	l := &Limiter{gain: math.Pow(10, gainDB/20), took: newTook(rate)}
	ceiling := math.Pow(10, (ceilingDBTP-guardDB)/20)
	l.stage = newStage(rate, channels, ceiling, func(rows [][]float32) {
		l.took.write(rows[channels])
		give(rows[:channels])
	})
	for range channels + 1 {
		l.rows = append(l.rows, make([]float32, hop))
		l.part = append(l.part, nil)
	}
	return l
}

// Write takes the next samples of the track: block[c][i] is sample i of channel c, full
// scale being 1. The block is neither kept nor changed.
func (l *Limiter) Write(block [][]float32) {
	if len(block) == 0 {
		return
	}
	channels := len(l.rows) - 1
	for from, n := 0, len(block[0]); from < n; from += hop {
		to := min(n, from+hop)
		for c, row := range l.rows {
			l.part[c] = row[:to-from]
		}
		for c, row := range l.part[:channels] {
			for i, v := range block[c][from:to] {
				row[i] = float32(float64(v) * l.gain)
			}
		}
		ones := l.part[channels]
		for i := range ones {
			ones[i] = 1
		}
		l.stage.write(l.part)
	}
}

// End gives out the last samples. Nothing can be written after it.
func (l *Limiter) End() { l.stage.end() }

// Reduction says what was taken off what has been given out.
func (l *Limiter) Reduction() Reduction { return l.took.result() }
