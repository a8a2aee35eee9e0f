package detect

import "math"

// TwoLoudspeakersLU is what a file of one channel gains when it is played: a player
// sends it to both loudspeakers, and BS.1770-5 adds up the powers of two equal
// channels.
//
//	10 log10(2) = 3.01 LU
var TwoLoudspeakersLU = Value(10 * math.Log10(2))

// OneChannel tells a mono file from two equal channels, which are measured as two.
func (m *Measurement) OneChannel() bool { return m.File.Channels == 1 }

// PlayedGainLU is what is added to every loudness of the record for the track as it is
// played, 0 but for a file of one channel.
func (m *Measurement) PlayedGainLU() Value {
	if m.OneChannel() {
		return TwoLoudspeakersLU
	}
	return 0
}

// PlayedLUFS is the level that a track is judged and trimmed by: its loudest 30 s as
// they are played. The record keeps the standard's figure.
func (m *Measurement) PlayedLUFS() Value { return m.Loudness.Loudest30sLUFS + m.PlayedGainLU() }
