package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// knob is one filter of an equaliser.
type knob struct {
	filter    reason.Filter
	hz, dB, q float64
}

func (k knob) design() *sound.Biquad {
	switch k.filter {
	case reason.LowShelf:
		return sound.LowShelf(k.hz, k.dB)
	case reason.HighShelf:
		return sound.HighShelf(k.hz, k.dB)
	}
	return sound.Bell(k.hz, k.dB, k.q)
}

func (k knob) String() string {
	if k.filter == reason.Bell {
		return fmt.Sprintf("%s %g Hz %+g dB Q %g", k.filter, k.hz, k.dB, k.q)
	}
	return fmt.Sprintf("%s %g Hz %+g dB", k.filter, k.hz, k.dB)
}

// knobs are what an equaliser did to a master, as the issue of advice asks for.
var knobs = [][]knob{
	{},
	{{reason.LowShelf, 60, -6, 0}}, {{reason.LowShelf, 60, -3, 0}}, {{reason.LowShelf, 60, 3, 0}}, {{reason.LowShelf, 60, 6, 0}},
	{{reason.Bell, 120, -4, 1}}, {{reason.Bell, 120, 4, 1}}, {{reason.Bell, 300, -4, 0.7}}, {{reason.Bell, 300, 4, 0.7}},
	{{reason.Bell, 300, 4, 2}}, {{reason.Bell, 3000, -4, 0.7}}, {{reason.Bell, 3000, 4, 0.7}}, {{reason.Bell, 3000, 4, 2}},
	{{reason.HighShelf, 10000, -4, 0}}, {{reason.HighShelf, 10000, 4, 0}},
	{{reason.LowShelf, 60, -6, 0}, {reason.HighShelf, 10000, 4, 0}}, {{reason.LowShelf, 60, 4, 0}, {reason.Bell, 300, -4, 0.7}},
	{{reason.Bell, 120, 4, 1}, {reason.Bell, 3000, -4, 0.7}}, {{reason.Bell, 300, 4, 0.7}, {reason.HighShelf, 10000, -4, 0}},
	{{reason.LowShelf, 60, -4, 0}, {reason.Bell, 3000, 5, 0.7}}, {{reason.Bell, 120, -4, 1}, {reason.HighShelf, 10000, 4, 0}},
	{{reason.HighShelf, 8000, -4, 0}}, {{reason.HighShelf, 8000, 4, 0}}, {{reason.Bell, 3150, 8, 8}},
}

// The last of them are not asked for with a figure: masters that are dull and harsh, and
// a resonance.
const (
	dullPlant  = 21
	harshPlant = 22
	peakPlant  = 23
	askedEnd   = 21 // behind those that are to be recovered
)

// plantedSeeds of each genre have all knobs in the table, tableSeeds are measured without.
const (
	plantedSeeds = 4
	tableSeeds   = 24
)

// excerpt is what is known of the loudest 30 s of a master.
type excerpt struct {
	Spectrum detect.Spectrum
	Level    detect.Value
}

// excerptOf measures 30 s.
func excerptOf(a sound.Audio) excerpt {
	m := spectrum.New(sound.Rate, 2)
	a.Blocks(m.Write)
	mid, side := m.Sides(0, 30)
	e := excerpt{Level: detect.Value(studio.Loudness(a).Loudest30)}
	e.Spectrum = detect.Spectrum{CentreHz: spectrum.Centres[:], LoudestDB: list(m.Over(0, 30)), MidDB: list(mid), SideDB: list(side),
		WholeDB: detect.Values{}, BandwidthHz: detect.Value(m.Bandwidth())}
	return e
}

func list(x []float64) detect.Values {
	out := make(detect.Values, len(x))
	for i, v := range x {
		out[i] = detect.Value(v)
	}
	return out
}

// loudest cuts the loudest 30 s out of a master.
func loudest(a sound.Audio) sound.Audio {
	from := int(studio.Loudness(a).Loudest30Start * sound.Rate)
	return a.Part(from, from+30*sound.Rate).Clone()
}

// turned measures a song's loudest 30 s with each of the knobs, the first being none;
// all but the clean one are left out unless every is set. What was measured is kept in
// dir where it is not empty.
func turned(dir, genre string, seed uint64, every bool) ([]excerpt, error) {
	path := filepath.Join(dir, fmt.Sprintf("advice-%d-%s-%d-%v.json", studio.Version, genre, seed, every))
	var out []excerpt
	if data, err := os.ReadFile(path); dir != "" && err == nil && json.Unmarshal(data, &out) == nil {
		return out, nil
	}
	out = turnedAudio(loudest(studio.Compose(studio.GenreNamed(genre), seed).Piece().Master()), every)
	if dir == "" {
		return out, nil
	}
	data, err := json.Marshal(out)
	if err != nil {
		return nil, err
	}
	return out, os.WriteFile(path, data, 0o644)
}

// turnedAudio measures 30 s with each of the knobs, or with none.
func turnedAudio(a sound.Audio, every bool) (out []excerpt) {
	for i, p := range knobs {
		if i > 0 && !every {
			break
		}
		b := a.Clone()
		for _, k := range p {
			b.Filter(k.design)
		}
		out = append(out, excerptOf(b))
	}
	return out
}
