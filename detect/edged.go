package detect

import (
	"dubgauge/detect/edges"
	"dubgauge/detect/loudness"
	"dubgauge/detect/lowend"
	"dubgauge/detect/tempo"
)

// edgeMeter measures what is mixed into and out of, from what other meters have gathered:
// it comes after those.
func edgeMeter(loud *loudness.Meter, low *lowend.Meter, beats *[]tempo.Beat) meter {
	return meter{func([][]float32) {}, func(m *Measurement) {
		energies, perSecond := loud.Steps()
		start, end, ok := edges.Find(*beats, energies, perSecond)
		*beats = nil
		if ok {
			m.Edges = &Edges{edgeOf(start, loud, low), edgeOf(end, loud, low)}
		}
	}}
}

func edgeOf(s edges.Span, loud *loudness.Meter, low *lowend.Meter) Edge {
	l := low.Over(s.From, s.To)
	return Edge{
		FromS: Value(s.From), ToS: Value(s.To), LUFS: Value(loud.Over(s.From, s.To)),
		SubDB: Value(l.Sub), BassDB: Value(l.Bass), Beat: s.Beat,
	}
}
