package detect

import (
	drum "dubgauge/detect/kick"
	"dubgauge/detect/spectrum"
)

// kickMeter looks at the bottom that the spectrum's lowest layer works on. It goes by the
// beat and the key, so that its meter comes after those.
func kickMeter(spec *spectrum.Meter, channels int) meter {
	var k *drum.Meter
	rate := spec.Tap(func(c int, x []float32) { k.Write(c, x) })
	k = drum.New(rate, channels)
	return meter{func([][]float32) {}, func(m *Measurement) {
		r := k.Result(drum.Grid{
			BPM: float64(m.Tempo.BPM), FirstBeat: float64(m.Tempo.FirstBeatS), Confidence: float64(m.Tempo.Confidence),
		})
		if r.Kicks == 0 && !Value(r.Hz).Exists() {
			return
		}
		m.Kick = newKick(r)
		m.Kick.name(r.Hz, m.Key)
	}}
}

// newKick is a result as the record has it.
func newKick(r drum.Result) *Kick {
	k := &Kick{
		Kicks: r.Kicks, OverBassDB: Value(r.OverBass), DipDB: Value(r.Dip), BackAfterS: Value(r.Back),
		SubHz: Value(r.Hz), SubUp: Value(r.Up), SubCents: None, AttackSumDB: Value(r.Median), AttackWorstDB: Value(r.Worst),
	}
	if k.AttackSumDB.Exists() {
		k.HeldThrough = r.Held
	}
	return k
}

// name gives the sub its note, and says whether that belongs to the key.
func (k *Kick) name(hz float64, key *Key) {
	note, cents := drum.Note(hz)
	if note == "" {
		return
	}
	k.SubNote, k.SubCents = note, Value(cents)
	if key != nil {
		in := drum.InKey(hz, key.Tonic, key.Mode == "minor")
		k.SubInKey = &in
	}
}
