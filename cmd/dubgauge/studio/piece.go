package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// Piece is what defects are planted in: a mix and where its loud part lies. It
// comes from a song or from music that was made elsewhere.
type Piece struct {
	Mix    sound.Audio
	Offset float64 // LU, how much louder than others its master is made
	Where  Where
}

// Piece renders the song.
func (s *Song) Piece() *Piece {
	drop, second := s.Section(Drop), s.Section(Second)
	return &Piece{Mix: s.Mix(), Offset: s.LoudnessOffset, Where: Where{
		Seed: s.Seed, Bar: s.barSeconds(),
		From: float64(s.BarStart(drop.Bar)) / sound.Rate, To: float64(s.BarStart(second.Bar+second.Bars)) / sound.Rate,
	}}
}

// PieceOf takes finished music, whose beat isn't known: the loud part is the
// loudest 30 s, the bar one at 128 BPM.
func PieceOf(a sound.Audio, seed uint64) *Piece {
	start := Loudness(a).Loudest30Start
	if math.IsNaN(start) {
		start = 0
	}
	return &Piece{Mix: a, Offset: loudnessSpread * source("piece", seed, "loudness").NormFloat64(), Where: Where{
		Seed: seed, Bar: 1.875, From: start, To: math.Min(start+30, float64(a.Len())/sound.Rate),
	}}
}

// Master finishes the piece.
func (p *Piece) Master() sound.Audio { return DefaultChain.Master(p.Mix, p.Offset) }

// Spoil makes the master that a defect leaves. master is the clean one; both it
// and the mix stay as they are.
func (p *Piece) Spoil(d Defect, master sound.Audio) sound.Audio {
	if d.Mix == nil {
		return d.Master(master.Clone(), p.Where)
	}
	mix := p.Mix.Clone()
	d.Mix(mix)
	return DefaultChain.Master(mix, p.Offset)
}
