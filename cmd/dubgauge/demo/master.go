package demo

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// The master of a clean track: drive into the saturation and the limiter, in dB,
// and the ceiling of the limiter, full scale being 1.
const (
	drive   = 3.0
	ceiling = 0.85    // -1.4 dBFS
	top     = 14000.0 // Hz
	bottom  = 20.0    // Hz

	fadeSeconds = 2.0 // at the end
)

// defect spoils a track: it takes the mix and returns what ends up in the file.
// nil leaves the track clean.
type defect func(left, right []float64)

// master renders the song and finishes it, with the defect if it has one.
func (t *Track) master() (left, right []float64) {
	left, right = t.song.render()
	if t.defect == nil {
		finish(left, right, drive, t.gain)
	} else {
		t.defect(left, right)
	}
	both(left, right, fadeOut)
	return left, right
}

// fadeOut lets the track end as a record does: one that breaks off is a fault.
func fadeOut(x []float64) {
	n := min(len(x), int(fadeSeconds*sound.Rate))
	tail := x[len(x)-n:]
	for i := range tail {
		g := 1 - float64(i)/float64(n)
		tail[i] *= g * g
	}
}

// finish saturates and limits a mix that is driven by so many dB, and turns the
// result by gain.
func finish(left, right []float64, drive, gain float64) {
	both(left, right, func(x []float64) {
		saturate(x, sound.Decibels(drive))
		sound.Pass(bottom, true).Run(x) // saturation shifts the rest position
		sound.Pass(top, false).Run(x)   // keeps the peaks between the samples low
	})
	sound.Limit(left, right, ceiling)
	both(left, right, func(x []float64) { sound.Scale(x, sound.Decibels(gain)) })
}

// saturate bends peaks softly: tanh(drive x).
func saturate(x []float64, drive float64) {
	for i, v := range x {
		x[i] = math.Tanh(drive * v)
	}
}

func both(left, right []float64, f func([]float64)) { f(left); f(right) }

func quieter(left, right []float64) { finish(left, right, drive, -4) }

// louder drives the master until its level has risen by about 3 dB.
func louder(left, right []float64) { finish(left, right, drive+9, 0.2) }

// lowDown and lowUp shelve the mix below 100 Hz before it is finished.
// The heavier one is driven less: saturation would turn bass into what lies above.
func lowDown(left, right []float64) { shelved(left, right, -8, drive) }
func lowUp(left, right []float64)   { shelved(left, right, 8, drive-4) }

func shelved(left, right []float64, gain, drive float64) {
	both(left, right, func(x []float64) { sound.LowShelf(100, gain).Run(x) })
	finish(left, right, drive, 0)
}

// flipLow turns the low end of the right channel upside down before the mix is
// finished. Both channels are parted at 150 Hz by the same filters, whose sum is
// flat.
func flipLow(left, right []float64) {
	part := func(x []float64, sign float64) {
		low := append([]float64(nil), x...)
		sound.Steep(low, 150, false)
		sound.Steep(x, 150, true)
		for i := range x {
			x[i] += sign * low[i]
		}
	}
	part(left, 1)
	part(right, -1)
	finish(left, right, drive, 0)
}

// clip leaves out the limiter: the peaks are cut off at full scale, and the
// result turned down, as by somebody who hoped that it helps.
func clip(left, right []float64) {
	const down = -1.6 // dB
	both(left, right, func(x []float64) {
		sound.Pass(bottom, true).Run(x)
		sound.Pass(top, false).Run(x)
		sound.Scale(x, sound.Decibels(drive-0.7))
		for i, v := range x {
			x[i] = math.Max(-1, math.Min(1, v))
		}
		sound.Scale(x, sound.Decibels(down))
	})
}
