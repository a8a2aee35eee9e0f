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

// The quantities, in dB or LU. Level is the loudest 30 s as they are played.
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
	BPM detect.Value
	// Level is the loudest 30 s as they are played, in LUFS: see
	// detect.Measurement.PlayedLUFS. True is the true peak in dBTP, SamplePeak the highest
	// sample in dBFS.
	Level, LowEnd, Sub, Bass, Mono, True detect.Value
	SamplePeak                           detect.Value
	Limiting                             *detect.Limiting // nil where it was not measured
	Lossy                                bool             // coded with loss
	DriftPercent                         detect.Value
	ChangeAtS, ChangeFrom, ChangeTo      detect.Value // a change of tempo, in BPM
	KeyChanges                           []detect.KeyChange
	DurationS                            detect.Value // of the whole file
	// Balance is how the parts of the spectrum stand to one another; Pattern how the
	// low end moves (detect.Tempo).
	Balance detect.Balance
	Pattern []detect.Value
	Faults  []detect.Fault
	Problem *detect.Problem
}

// Of takes the figures to judge from a measurement. tagBPM serves while no
// tempo was measured; it may be nil.
func Of(id int64, m *detect.Measurement, tagBPM *float64) Track {
	t := Track{
		Limiting: m.Limiting, SamplePeak: m.Peak.SamplePeakDBFS, Lossy: m.File.BitDepth == nil,
		ID: id, BPM: m.Tempo.BPM,
		Level: m.PlayedLUFS(), LowEnd: m.LowEnd.LowDB, Sub: m.LowEnd.SubDB,
		Balance: m.Balance, Pattern: m.Tempo.Pattern, Bass: m.LowEnd.BassDB, Mono: m.LowEnd.MonoLossDB, True: m.Peak.TruePeakDBTP,
		ChangeAtS: m.Tempo.ChangeAtS, ChangeFrom: m.Tempo.ChangeFromBPM, ChangeTo: m.Tempo.ChangeToBPM,
		DriftPercent: m.Tempo.DriftPercent, DurationS: m.File.DurationS, Faults: m.Faults, Problem: m.Error,
	}
	if m.Key != nil {
		t.KeyChanges = m.Key.Changes
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
	Reasons   []string `json:"reasons"`
	Notes     []string `json:"notes"`
	Reference Group    `json:"reference"`
	// Members lists the references that the track is held against, by ID, in the order
	// of the pool. Where fixed values serve, these are the few that there are. Tracks of
	// one group share the slice: it is not to be changed.
	Members    []int64      `json:"-"`
	MismatchDB detect.Value `json:"mismatch_db"` // level minus the group's median level
	// Past is how far the worst of a track lies past its cut-off, as a ratio: under
	// 1 nothing stands out, at 2 something lies twice as far off as the cut-off.
	// past.go says how faults count. It orders tracks of one verdict.
	Past       detect.Value `json:"past"`
	Trim       Trim         `json:"trim"`
	Deviations []Deviation  `json:"deviations"`
	// Tone is what an equaliser would have to take back, the largest first; empty when
	// nothing stands out or the balance is not judged.
	Tone []Move `json:"tone"`
	// Unlike: no reference is like it in tempo and rhythm, so that its balance is judged with the
	// room that another kind of music needs, or not at all; Notes says which.
	Unlike bool `json:"unlike"`
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

// Move is how far the balance of a track lies from its group, as a broad equaliser
// would do it.
type Move struct {
	Code    string       `json:"code"`    // the reason code
	DB      detect.Value `json:"db"`      // above or below the references
	Spreads detect.Value `json:"spreads"` // in units of what another track of their kind would show
	// Filter and Hz are those of the equaliser that the sentence names.
	Filter reason.Filter `json:"filter"`
	Hz     detect.Value  `json:"hz"`
}

// Trim is the gain that brings a track to its group's level, in dB, in steps of 0.1.
// A mixer has headroom for all of it; a gain that is baked into the file has only what
// its true peak leaves.
type Trim struct {
	// TrimDB is what the mixer needs: the group's median level minus the track's.
	TrimDB detect.Value `json:"trim_db"`
	// SafeDB is what can be baked into the file: TrimDB where that is at most 0;
	// else at most ceiling minus true peak, and never below 0. It does not exist
	// for a trim above 0 while the true peak is not known.
	SafeDB detect.Value `json:"safe_trim_db"`
	// LimitingDB is the most that a limiter takes off at one moment when all of TrimDB is to
	// be baked in, what limiting costs in loudness included; 0 where nothing is left to it.
	// It does not exist where no limiter reaches TrimDB. In a track measured before this was
	// worked out on the audio it is TrimDB minus SafeDB, the least that it can be, and the
	// figures below do not exist.
	LimitingDB detect.Value `json:"limiting_db"`
	// LimitingP95DB is what it takes off, or less, for 95 % of the time; LimitingOver2 the share of
	// the time with more than 2 dB, 0 to 1; LimitingAtS the second with most of it.
	LimitingP95DB detect.Value `json:"limiting_p95_db"`
	LimitingOver2 detect.Value `json:"limiting_over_2_db_share"`
	LimitingAtS   detect.Value `json:"limiting_at_s"`
	// MixShortDB is by how much TrimDB is missed when no more than 3 dB comes off at once;
	// it exists where LimitingDB is more, or does not exist.
	MixShortDB detect.Value `json:"mix_short_db"`
	// FlatShare is how much of the loudest 30 s touches the top already, 0 to 1.
	FlatShare detect.Value `json:"flat_share"`
}
