package setlist

import (
	"dubgauge/detect"
	"dubgauge/detect/key"
)

// Track is what is known of a track in a running order. Levels are as the track is played:
// a file of one channel is heard as two.
type Track struct {
	ID int64 `json:"id"`
	// Place is what sentences call its place, from 1; 0 is for where it stands in the order.
	Place int `json:"place"`
	// Loudest is the loudest 30 s; Start and End are the first and the last 60 s that carry a
	// beat, what is mixed into and out of. Where these were not measured (Ends is false) both
	// are the loudest 30 s.
	Loudest Part `json:"loudest"`
	Start   Part `json:"start"`
	End     Part `json:"end"`
	Ends    bool `json:"ends_measured"`

	// BPM and Key are what the track begins with, EndBPM and EndKey what it ends with: they
	// differ where tempo or key change on the way.
	BPM             detect.Value `json:"bpm"`
	EndBPM          detect.Value `json:"end_bpm"`
	TempoConfidence detect.Value `json:"tempo_confidence"`
	Key             key.Key      `json:"-"`
	EndKey          key.Key      `json:"-"`
	KeyName         string       `json:"key"` // empty for none
	EndKeyName      string       `json:"end_key"`
	KeyConfidence   detect.Value `json:"key_confidence"`

	TruePeakDBTP detect.Value `json:"true_peak_dbtp"`
	// TrimDB is the single trim: what brings the track to its references.
	TrimDB detect.Value `json:"trim_db"`
}

// Part is a part of a track and its figures.
type Part struct {
	FromS  detect.Value `json:"from_s"`
	ToS    detect.Value `json:"to_s"`
	LUFS   detect.Value `json:"lufs"`
	SubDB  detect.Value `json:"sub_db"`  // against what lies above 150 Hz
	BassDB detect.Value `json:"bass_db"` // likewise
	Beat   bool         `json:"beat"`    // it carries a beat
	// Covered is how much of the length that is asked for there was, 0 to 1: what is said by
	// a few seconds is said less surely.
	Covered detect.Value `json:"covered"`
}

// Lengths of the parts in seconds.
const (
	loudestSeconds = 30
	endSeconds     = 60
)

// Of takes the figures of a track from its measurement. trim is the single trim in dB, None
// where there is none.
func Of(id int64, m *detect.Measurement, trim detect.Value) Track {
	t := Track{
		ID: id, TempoConfidence: m.Tempo.Confidence, Key: key.NoKey, EndKey: key.NoKey, KeyConfidence: detect.None,
		TruePeakDBTP: m.Peak.TruePeakDBTP, TrimDB: trim,
	}
	t.BPM, t.EndBPM = tempi(&m.Tempo)
	t.Loudest = Part{
		FromS: m.Loudness.Loudest30sStartS, ToS: m.Loudness.Loudest30sStartS + loudestSeconds,
		LUFS: m.PlayedLUFS(), SubDB: m.LowEnd.SubDB, BassDB: m.LowEnd.BassDB, Beat: m.Tempo.BPM.Exists(),
		Covered: covered(m.Loudness.Loudest30sOverS, loudestSeconds),
	}
	if d := m.File.DurationS; d < t.Loudest.ToS {
		t.Loudest.ToS = d
	}
	t.Start, t.End = t.Loudest, t.Loudest
	if e := m.Edges; e != nil {
		t.Start, t.End, t.Ends = partOf(e.Start, m.PlayedGainLU()), partOf(e.End, m.PlayedGainLU()), true
	}
	if k := m.Key; k != nil {
		first, last := keys(k)
		t.Key, t.EndKey, t.KeyConfidence = parsed(first), parsed(last), k.Confidence
		t.KeyName, t.EndKeyName = t.Key.String(), t.EndKey.String()
	}
	return t
}

// tempi are those that a track begins and ends with.
func tempi(m *detect.Tempo) (first, last detect.Value) {
	first, last = m.BPM, m.BPM
	if m.ChangeFromBPM > 0 && m.ChangeToBPM > 0 {
		first, last = m.ChangeFromBPM, m.ChangeToBPM
		if n := len(m.Changes); n > 0 && m.Changes[n-1].ToBPM > 0 {
			last = m.Changes[n-1].ToBPM
		}
	}
	return first, last
}

// keys are those that a track begins and ends with.
func keys(k *detect.Key) (first, last string) {
	if n := len(k.Changes); n > 0 {
		return k.Changes[0].From, k.Changes[n-1].To
	}
	return k.Name, k.Name
}

// parsed is the key of a name that detect wrote; none for anything else.
func parsed(name string) key.Key {
	k, err := key.Parse(name)
	if err != nil {
		return key.NoKey
	}
	return k
}

func partOf(e detect.Edge, gain detect.Value) Part {
	return Part{FromS: e.FromS, ToS: e.ToS, LUFS: e.LUFS + gain, SubDB: e.SubDB, BassDB: e.BassDB, Beat: e.Beat,
		Covered: covered(e.ToS-e.FromS, endSeconds)}
}

// covered is the share of a length in seconds that there is; all of it where that was not
// measured, as in old records.
func covered(seconds detect.Value, of float64) detect.Value {
	if !seconds.Exists() {
		return 1
	}
	return max(0, min(1, seconds/detect.Value(of)))
}
