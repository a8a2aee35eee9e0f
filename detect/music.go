package detect

import (
	"dubgauge/decode"
	"dubgauge/detect/fingerprint"
	"dubgauge/detect/key"
	"dubgauge/detect/tempo"
)

// musicMeters measure what a DJ mixes by, tempo and key, and what the music is known
// by. What they leave in beats is for edgeMeter.
func musicMeters(info decode.Info, beats *[]tempo.Beat) []meter {
	beat := tempo.New(info.SampleRate, info.Channels)
	tone := key.New(info.SampleRate, info.Channels)
	tune := fingerprint.Of(tone) // hears what tone is written
	return []meter{
		// The beat comes last: it takes most room to work out.
		{tone.Write, func(m *Measurement) { m.Key, m.TunePrint = keyOf(tone.Result()), tune.Print().Text() }},
		{beat.Write, func(m *Measurement) {
			r := beat.Result()
			m.Tempo, *beats = tempoOf(r), r.Beats
		}},
	}
}

func tempoOf(r tempo.Result) Tempo {
	return Tempo{
		BPM: Value(r.BPM), AlternativeBPM: Value(r.Alternative), Confidence: Value(r.Confidence),
		FirstBeatS: Value(r.FirstBeat), BeatConfidence: orZero(r.BeatConfidence),
		FirstDownbeatS: Value(r.FirstDownbeat), DownbeatConfidence: orZero(r.DownbeatConfidence),
		DriftPercent: Value(r.DriftPercent), DriftFromS: Value(r.DriftFrom), SwingPercent: Value(r.Swing),
		ChangeAtS: Value(r.ChangeAt), ChangeFromBPM: Value(r.ChangeFrom), ChangeToBPM: Value(r.ChangeTo),
		EighthSwingPercent: orZero(r.EighthSwing),
		SwingConfidence:    orZero(r.SwingConfidence), EighthSwingConfidence: orZero(r.EighthSwingConfidence),
		Pattern: values(r.Pattern), Changes: changesOf(r.Changes),
	}
}

// orZero is 0 for what does not exist: fields that records leave out.
func orZero(v float64) Value {
	if !Value(v).Exists() {
		return 0
	}
	return Value(v)
}

// changesOf is nil for a single change, which has fields of its own.
func changesOf(all []tempo.Change) (out []TempoChange) {
	if len(all) < 2 {
		return nil
	}
	for _, c := range all {
		out = append(out, TempoChange{AtS: Value(c.At), FromBPM: Value(c.From), ToBPM: Value(c.To)})
	}
	return out
}

// keyOf is nil for music without a key.
func keyOf(r key.Result) *Key {
	if !r.Key.Exists() {
		return nil
	}
	k := &Key{
		Name: r.Key.String(), Tonic: key.TonicName(r.Tonic), Mode: r.Mode.String(), Confidence: Value(r.Confidence),
		TuningCents: Value(r.TuningCents), Agreement: Value(r.Agreement),
	}
	if r.RunnerUp.Exists() {
		k.RunnerUp = r.RunnerUp.String()
	}
	for _, c := range r.Changes {
		k.Changes = append(k.Changes, KeyChange{AtS: Value(c.AtS), From: c.From.String(), To: c.To.String()})
	}
	return k
}
