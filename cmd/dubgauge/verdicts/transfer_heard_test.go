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
)

// heard tells whether a fault that was added to a clean track is heard in its
// quietest moments. Of wow and DC it says nothing: wow is heard in any held note.
func heard(name string, clean, bad sound.Audio) bool {
	if strings.HasPrefix(name, "vinyl") {
		return clicksHeard(clean, bad) >= heardClicks
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
// it is strongest, more energy than the music has in any 3 ms of the 20 ms around.
func clicksHeard(clean, bad sound.Audio) float64 {
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
	count, last := 0, -10
	for i := around; i+around < n; i++ {
		over := click[i] > 0
		for j := i - around; j <= i+around; j++ {
			over = over && click[i] > music[j]
		}
		if over && i-last > 2 {
			count++
			last = i
		}
	}
	return float64(count) / (float64(clean.Len()) / sound.Rate / 60)
}
