package main

import (
	"math"
	"strings"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

// ear is where a fault is listened for: frames of a length in samples, third octaves
// from one frequency to another in hertz.
type ear struct {
	frame    int
	from, to float64
}

var ears = map[string]ear{
	"hum":    {8192, 44, 320}, // 0.19 s: between two kicks
	"rumble": {16384, 10, 32},
}

const (
	// heardShare of the frames, the first and last heardEnds of the track left out, must
	// have the fault over the music in one third octave: a tone or a noise that reaches
	// the music's level in a band is heard beside it (Fastl and Zwicker, Psychoacoustics,
	// ch. 4: the threshold lies 2 to 6 dB lower).
	heardShare, heardEnds = 0.05, 0.05
	// heardClicks a minute must stand over the music around them.
	heardClicks = 7.0
	// ownClick is by how much, in power, a sound of the music that is as short stands over
	// what is around it: by as much as clicks that are found.
	ownClick = 4.84
	// heardSwing is how far a frequency must move from end to end, as a share of it, for that
	// to be heard (Fastl and Zwicker, Psychoacoustics, ch. 7.2: 0.7 % from 500 Hz on, four
	// times a second, where the ear hears it best).
	heardSwing = 0.007
)

// swingHeard tells whether a wow of so many percent to either side is heard of a tone.
func swingHeard(percent float64) bool { return 2*percent/100 >= heardSwing }

// heard tells whether a fault that was added to a clean track is heard in its
// quietest moments. Of wow and DC it says nothing: wow is heard in any held note.
func heard(name string, clean, bad sound.Audio) bool {
	if strings.HasPrefix(name, "vinyl") {
		clicks, _ := clicksHeard(clean, bad)
		return clicks >= heardClicks
	}
	if strings.HasPrefix(name, "hiss") {
		return hissHeard(clean, bad) >= heardShare
	}
	e, ok := ears[strings.Fields(name)[0]]
	if !ok {
		return false
	}
	fft, window := fourier.NewPower(e.frame), make([]float32, e.frame)
	for i := range window {
		window[i] = float32(dsp.Hann(float64(i)+0.5, float64(e.frame)))
	}
	n := clean.Len()
	over, frames := 0, 0
	for at := int(heardEnds * float64(n)); at+e.frame <= n-int(heardEnds*float64(n)); at += e.frame / 2 {
		music, fault := e.bands(fft, window, clean, nil, at), e.bands(fft, window, clean, &bad, at)
		frames++
		for b, p := range fault {
			if p >= music[b] && p > 0 {
				over++
				break
			}
		}
	}
	return frames > 0 && float64(over) >= heardShare*float64(frames)
}

// bands are the powers of clean from a sample on, or of what bad has more, by third
// octave, the channels summed.
func (e ear) bands(fft *fourier.Power, window []float32, clean sound.Audio, bad *sound.Audio, at int) []float64 {
	out := make([]float64, int(math.Ceil(3*math.Log2(e.to/e.from))))
	x, p := make([]float32, e.frame), make([]float32, e.frame/2)
	for c, ch := range [2][]float64{clean.L, clean.R} {
		for i := range x {
			x[i] = float32(ch[at+i])
			if bad != nil {
				x[i] = float32([2][]float64{bad.L, bad.R}[c][at+i] - ch[at+i])
			}
		}
		fft.Do(p, x, window)
		for k, v := range p {
			if hz := float64(k) * sound.Rate / float64(e.frame); hz >= e.from && hz < e.to {
				out[int(3*math.Log2(hz/e.from))] += float64(v)
			}
		}
	}
	return out
}

// clicksHeard counts the clicks a minute whose second difference has, in the 3 ms where
// it is strongest, more energy than the music has in any 3 ms of the 20 ms around; and what
// the music has by itself that stands over all around it as clicks do.
func clicksHeard(clean, bad sound.Audio) (clicks, own float64) {
	const frame, around = 128, 3
	n := clean.Len() / frame
	music, click := make([]float64, n), make([]float64, n)
	for _, ch := range [2][2][]float64{{clean.L, bad.L}, {clean.R, bad.R}} {
		second := func(x []float64, i int) float64 { return x[i] - 2*x[i-1] + x[i-2] }
		for i := 2; i < n*frame; i++ {
			m := second(ch[0], i)
			music[i/frame] += m * m
			m = second(ch[1], i) - m
			click[i/frame] += m * m
		}
	}
	last := -10
	for i := around; i+around < n; i++ {
		over, alone := click[i] > 0, music[i] > 0
		for j := i - around; j <= i+around; j++ {
			over = over && click[i] > music[j]
			alone = alone && (j == i || music[i] > music[j]) && (j >= i-1 && j <= i+1 || music[i] > ownClick*music[j])
		}
		if over && i-last > 2 {
			clicks++
			last = i
		}
		if alone {
			own++
		}
	}
	minutes := float64(clean.Len()) / sound.Rate / 60
	return clicks / minutes, own / minutes
}

// told tells whether one can know of what is heard that it is a fault: of clicks where they
// are more than the music has itself.
func told(name string, clean, bad sound.Audio) bool {
	if !strings.HasPrefix(name, "vinyl") {
		return true
	}
	clicks, own := clicksHeard(clean, bad)
	return clicks >= own
}
