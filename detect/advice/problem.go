package advice

import "math"

// problem is a curve of deviations in dB to be explained by a level and some filters.
type problem struct {
	band       []int     // which third octaves, of package spectrum
	dB, weight []float64 // weights are 1 over a variance in dB squared
	heard      []float64 // K-weighted power of each band of the track; nil where the level is to be 0
	loose      float64   // how far the level may lie off what loudness says of it, dB
}

// model is a level and filters.
type model struct {
	level  float64
	shapes []shape
	cost   float64
}

// cost is the weighted sum of squares that is left, the level's own included.
//
//	sum w (d - level - sum of gains)^2 + ((level - expected)/loose)^2
func (p *problem) cost(m *model) float64 {
	d := m.level - p.expected(m)
	sum := d * d / (p.loose * p.loose)
	for i, r := range p.left(m) {
		sum += p.weight[i] * r * r
	}
	return sum
}

// expected is the level that a model brings: spectra are held against their own
// loudness, which filters change, so that what they leave alone moves the other way.
//
//	-10 log10 sum of p / sum of p 10^(-gains/10),  p the K-weighted powers
func (p *problem) expected(m *model) float64 {
	if p.heard == nil || len(m.shapes) == 0 {
		return 0
	}
	gains := make([]float64, len(p.band))
	for _, s := range m.shapes {
		t := s.tuned()
		for i, b := range p.band {
			gains[i] += t.over(b)
		}
	}
	with, without := 0.0, 0.0
	for i, h := range p.heard {
		with += h
		without += h * math.Pow(10, -gains[i]/10)
	}
	return 10 * math.Log10(without/with)
}

// left is what a model leaves of each band, dB.
func (p *problem) left(m *model) []float64 {
	out := make([]float64, len(p.band))
	for i := range out {
		out[i] = p.dB[i] - m.level
	}
	for _, s := range m.shapes {
		t := s.tuned()
		for i, b := range p.band {
			out[i] -= t.over(b)
		}
	}
	return out
}
