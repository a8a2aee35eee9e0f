package setlist

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/key"
)

// DefaultWeights are what the parts of a step's cost count. Tempo and key cannot be changed
// without changing the sound of a track, level and low end are a turn of a knob; an aim counts
// as much as what it bends. Ours, no source.
var DefaultWeights = Weights{Tempo: 1, Key: 1, Level: 0.5, LowEnd: 0.5, Aim: 1}

// unknownCost is what a figure that is not known costs: half a step that is audible, so that
// a track that was not measured is no bridge between two that clash.
const unknownCost = 0.5

// apartMost is how many notes of a scale differ at most; so far apart, a step of key costs 1.
const apartMost = 5

// costs works out what steps cost.
//
//	tempo   |percent| / limit
//	key     notes of the scales that differ / 5
//	level   mean of |loudest to loudest| and |end to start|, as the files are / limit
//	low end mean of |sub| and |bass|, of the same two / limit
//	aim     what tempo and level do against it / limit
//
// each times its weight, and
//
//	confidence x cost + (1 - confidence) x unknownCost
//
// for tempo and key.
type costs struct {
	weights Weights
	limits  Limits
	aim     Aim
}

func (o Options) costs() costs { return costs{o.Weights, o.Limits, o.Aim} }

// of is the cost of the step from a to b.
func (w *costs) of(a, b *Track) Cost {
	var c Cost
	faster, tempo := w.tempo(a, b)
	c.Tempo = w.weights.Tempo * tempo
	c.Key = w.weights.Key * keyCost(a, b)
	louder := float64(b.Loudest.LUFS - a.Loudest.LUFS)
	c.Level = w.weights.Level * mean(louder, float64(b.Start.LUFS-a.End.LUFS)) / w.limits.LevelLU
	c.LowEnd = w.weights.LowEnd * mean(float64(lower(a.Loudest.SubDB, b.Loudest.SubDB)), float64(lower(a.Loudest.BassDB, b.Loudest.BassDB)),
		float64(lower(a.End.SubDB, b.Start.SubDB)), float64(lower(a.End.BassDB, b.Start.BassDB))) / w.limits.LowEndDB
	if !finite(c.Level) {
		c.Level = w.weights.Level * unknownCost
	}
	if !finite(c.LowEnd) {
		c.LowEnd = w.weights.LowEnd * unknownCost
	}
	c.Aim = w.weights.Aim * (against(w.aim.Tempo, faster/w.limits.TempoPercent) + against(w.aim.Level, louder/w.limits.LevelLU))
	c.Total = c.Tempo + c.Key + c.Level + c.LowEnd + c.Aim
	return c
}

// tempo is by how many percent b is faster, and what that costs.
func (w *costs) tempo(a, b *Track) (faster, cost float64) {
	if !(a.EndBPM > 0) || !(b.BPM > 0) {
		return 0, unknownCost
	}
	faster = percent(folded(float64(a.EndBPM), float64(b.BPM)))
	return faster, expected(both(a.TempoConfidence, b.TempoConfidence), math.Abs(faster)/w.limits.TempoPercent)
}

func keyCost(a, b *Track) float64 {
	apart := key.Apart(a.EndKey, b.Key)
	if apart < 0 {
		return unknownCost
	}
	return expected(both(a.KeyConfidence, b.KeyConfidence), float64(apart)/apartMost)
}

func expected(confidence detect.Value, cost float64) float64 {
	c := float64(confidence)
	return c*cost + (1-c)*unknownCost
}

// mean of the sizes of what is known; NaN of nothing.
func mean(steps ...float64) float64 {
	sum, n := 0.0, 0.0
	for _, v := range steps {
		if finite(v) {
			sum, n = sum+math.Abs(v), n+1
		}
	}
	return sum / n
}

func finite(v float64) bool { return detect.Value(v).Exists() }

// against is how far a step goes against a direction; 0 for none.
func against(direction int, step float64) float64 {
	if !finite(step) {
		return 0
	}
	return max(0, -float64(direction)*step)
}

// plus adds two costs up.
func (c Cost) plus(d Cost) Cost {
	return Cost{c.Tempo + d.Tempo, c.Key + d.Key, c.Level + d.Level, c.LowEnd + d.LowEnd, c.Aim + d.Aim, c.Total + d.Total}
}

// along is the cost of tracks in an order.
func (w *costs) along(tracks []Track, order []int) (sum Cost) {
	for i := 1; i < len(order); i++ {
		sum = sum.plus(w.of(&tracks[order[i-1]], &tracks[order[i]]))
	}
	return sum
}
