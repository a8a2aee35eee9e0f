package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// Section is a part of the arrangement.
type Section struct {
	Kind      Kind
	Bar, Bars int
	// Levels of the parts, 0 to 1.
	kick, bass, drums, music float64
}

// Kind of section.
type Kind string

// The sections of a club track.
const (
	Intro  Kind = "intro"
	Build  Kind = "build"
	Drop   Kind = "drop"
	Break  Kind = "break"
	Second Kind = "second drop"
	Outro  Kind = "outro"
)

// plan is the arrangement in seconds, before it is rounded to whole bars.
var plan = []struct {
	kind     Kind
	from, to float64 // range of the length
	levels   [4]float64
}{
	{Intro, 7, 13, [4]float64{1, 0, 0.8, 0.25}},
	{Build, 5, 9, [4]float64{1, 0.7, 0.9, 0.6}},
	{Drop, 20, 30, [4]float64{1, 1, 1, 0.9}},
	{Break, 7, 13, [4]float64{0, 0.15, 0.35, 0.9}},
	{Second, 19, 28, [4]float64{1, 1, 1, 1}},
	{Outro, 6, 11, [4]float64{1, 0.6, 0.8, 0.2}},
}

// arrange lays the sections out in pairs of bars.
func (s *Song) arrange() {
	bar := 0
	for _, p := range plan {
		seconds := between(s.r, p.from, p.to)
		bars := max(2, 2*int(math.Round(seconds/s.barSeconds()/2)))
		l := p.levels
		for i := range l {
			if l[i] > 0 && l[i] < 1 {
				l[i] = math.Min(1, l[i]*between(s.r, 0.75, 1.25))
			}
		}
		s.Sections = append(s.Sections, Section{p.kind, bar, bars, l[0], l[1], l[2], l[3]})
		bar += bars
	}
}

// Bars is the length of the song in bars.
func (s *Song) Bars() int {
	last := s.Sections[len(s.Sections)-1]
	return last.Bar + last.Bars
}

// Section finds the first section of a kind.
func (s *Song) Section(k Kind) Section {
	for _, x := range s.Sections {
		if x.Kind == k {
			return x
		}
	}
	return s.Sections[0]
}

// at is the section of a bar.
func (s *Song) at(bar int) *Section {
	for i := range s.Sections {
		if x := &s.Sections[i]; bar < x.Bar+x.Bars {
			return x
		}
	}
	return &s.Sections[len(s.Sections)-1]
}

func (s *Song) barSeconds() float64  { return 240 / s.BPM }
func (s *Song) stepSeconds() float64 { return 15 / s.BPM }

// BarStart is the first sample of a bar.
func (s *Song) BarStart(bar int) int {
	return int(math.Round(float64(bar) * s.barSeconds() * sound.Rate))
}

// stepStart is the sample of a step of a bar, swing included.
func (s *Song) stepStart(bar, step int) int {
	at := float64(step)
	if step%2 == 1 {
		at += s.Swing
	}
	return int(math.Round((float64(bar)*16 + at) * s.stepSeconds() * sound.Rate))
}

// tailSeconds ring out after the last bar.
const tailSeconds = 1.5

// Samples is the length of the song.
func (s *Song) Samples() int { return s.BarStart(s.Bars()) + tailSeconds*sound.Rate }
