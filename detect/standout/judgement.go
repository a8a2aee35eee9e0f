// Package standout holds the statistics: the reference group of a track, how far
// the track lies from it, the verdict with its reasons, and the trim.
package standout

import (
	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// Verdict says whether a track can be played next to its references.
type Verdict string

// The verdicts, from best to worst.
const (
	Ready      Verdict = "ready"
	Check      Verdict = "check"
	HoldBack   Verdict = "hold back"
	Unreadable Verdict = "unreadable"
)

// Quantity is one of the figures that are compared with the reference group.
type Quantity string

// The quantities, in dB or LU. Level is the loudest 30 s.
const (
	Level  Quantity = "level"
	LowEnd Quantity = "low end"
	Sub    Quantity = "sub"
	Bass   Quantity = "bass"
	Mono   Quantity = "mono loss"
)

// Track is what is known of a track when it is judged.
type Track struct {
	ID int64
	// Reference: released, so that it may serve as a reference. Named: chosen
	// as a reference by hand; when any are, they lead.
	Reference, Named bool
	// BPM is the measured tempo, or the tag's while there is none; None else.
	BPM                                  detect.Value
	Level, LowEnd, Sub, Bass, Mono, True detect.Value // True is the true peak in dBTP
	DriftPercent                         detect.Value
	// OneChannel: a mono file. It counts as one channel (BS.1770) and so reads
	// 3 LU lower than it plays on two loudspeakers, which its reason says.
	OneChannel bool
	Faults     []detect.Fault
	Problem    *detect.Problem
}

// Of takes the figures to judge from a measurement. tagBPM serves while no
// tempo was measured; it may be nil.
func Of(id int64, m *detect.Measurement, tagBPM *float64) Track {
	t := Track{
		ID: id, BPM: m.Tempo.BPM,
		Level: m.Loudness.Loudest30sLUFS, LowEnd: m.LowEnd.LowDB, Sub: m.LowEnd.SubDB,
		Bass: m.LowEnd.BassDB, Mono: m.LowEnd.MonoLossDB, True: m.Peak.TruePeakDBTP,
		DriftPercent: m.Tempo.DriftPercent, OneChannel: m.File.Channels == 1, Faults: m.Faults, Problem: m.Error,
	}
	if !t.BPM.Exists() && tagBPM != nil {
		t.BPM = detect.Value(*tagBPM)
	}
	return t
}

// Judgement is what is said of a track.
type Judgement struct {
	Verdict Verdict `json:"verdict"`
	// Reasons are the short codes, worst first; Notes the sentences, one a
	// reason: what, by how much, against what, what to do.
	Reasons    []string     `json:"reasons"`
	Notes      []string     `json:"notes"`
	Reference  Group        `json:"reference"`
	MismatchDB detect.Value `json:"mismatch_db"` // level minus the group's median level
	Trim       Trim         `json:"trim"`
	Deviations []Deviation  `json:"deviations"`
}

// Group describes the reference group of a track.
type Group struct {
	Basis  reason.Basis `json:"basis"`
	Tracks int          `json:"tracks"`
	LUFS   detect.Value `json:"lufs"` // median level
	BPM    detect.Value `json:"bpm"`  // the tempo about which a "tempo" group lies
	// Stats has the group's figures, one a Quantity that exists in it.
	Stats map[Quantity]Stat `json:"stats"`
}

// Stat sums up one quantity in a group, in dB or LU.
type Stat struct {
	N      int          `json:"n"`
	Median detect.Value `json:"median"`
	Spread detect.Value `json:"spread"` // robust standard deviation, never under the floor
	P10    detect.Value `json:"p10"`
	P90    detect.Value `json:"p90"`
	Min    detect.Value `json:"min"`
	Max    detect.Value `json:"max"`
}

// Deviation is how far a track lies from its group in one quantity.
type Deviation struct {
	Quantity Quantity     `json:"quantity"`
	Value    detect.Value `json:"value"`
	DB       detect.Value `json:"db"`      // value minus median
	Spreads  detect.Value `json:"spreads"` // DB in units of the group's spread; null for fixed values
}

// Trim is the gain that brings a track to its group's level, in dB.
type Trim struct {
	TrimDB     detect.Value `json:"trim_db"`      // wanted
	SafeDB     detect.Value `json:"safe_trim_db"` // keeps the true peak at or under the ceiling
	LimitingDB detect.Value `json:"limiting_db"`  // wanted minus safe: what a limiter would have to take
}
