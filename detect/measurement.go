package detect

import "dubgauge/detect/reason"

// Measurement is everything that is measured of one track; its JSON form is
// that of the measurement record (DESIGN and INTERFACE of the project fix the
// names). Times are in seconds, frequencies in hertz. It is a pure function of
// the file's audio.
type Measurement struct {
	File     File     `json:"file"`
	Loudness Loudness `json:"loudness"`
	Peak     Peak     `json:"peak"`
	LowEnd   LowEnd   `json:"low_end"`
	Balance  Balance  `json:"balance"`
	// Limiting is nil for silence and in records of before it was measured.
	Limiting *Limiting `json:"limiting,omitempty"`
	Spectrum Spectrum  `json:"spectrum"`
	// Width is nil for files that have not two channels, and in records of before it was
	// measured.
	Width *Width `json:"width,omitempty"`
	Tempo Tempo  `json:"tempo"`
	// Edges are what is mixed into and out of; nil for silence, and in records of before they
	// were measured.
	Edges *Edges `json:"edges,omitempty"`
	// Key is nil for music without one.
	Key *Key `json:"key"`
	// Kick is nil where neither a kick nor a steady sub was found, and in records of before
	// they were looked for.
	Kick *Kick `json:"kick,omitempty"`
	// Fingerprint identifies the decoded audio across formats and levels; see
	// package faults. Empty when there is too little audio.
	Fingerprint string `json:"fingerprint,omitempty"`
	// TunePrint recognises the music whatever was done to it; see package fingerprint. A
	// library keeps it beside its records. Empty under 16 s and over 20 minutes, and in
	// records of before it was measured.
	TunePrint string `json:"tune_print,omitempty"`
	// Faults are in order of their place in the track.
	Faults []Fault `json:"faults"`
	// Error is nil when the whole file was decoded without complaint.
	Error *Problem `json:"error"`
}

// File says what kind of file the audio comes from.
type File struct {
	Format       string `json:"format"`
	Codec        string `json:"codec"`
	SampleRateHz int    `json:"sample_rate_hz"`
	Channels     int    `json:"channels"`
	BitDepth     *int   `json:"bit_depth"`    // nil for lossy codings
	BitrateKbps  *int   `json:"bitrate_kbps"` // nil for PCM
	DurationS    Value  `json:"duration_s"`
	SizeBytes    int64  `json:"size_bytes"`
}

// Loudness is by ITU-R BS.1770-5, EBU Tech 3341 and 3342; package loudness.
type Loudness struct {
	IntegratedLUFS   Value `json:"integrated_lufs"`
	Loudest30sLUFS   Value `json:"loudest_30s_lufs"`
	Loudest30sStartS Value `json:"loudest_30s_start_s"`
	// Loudest30sOverS is over how many seconds of those it was measured: less
	// than 30 in a shorter track, or where the gate took silence out. Records of
	// before it was measured lack it.
	Loudest30sOverS  Value `json:"loudest_30s_over_s"`
	ShortTermMaxLUFS Value `json:"short_term_max_lufs"`
	MomentaryMaxLUFS Value `json:"momentary_max_lufs"`
	RangeLU          Value `json:"range_lu"`
	// TimelineLUFS is the highest short-term loudness in each step of
	// TimelineStepS seconds, at most 240 steps a track.
	TimelineLUFS  Values `json:"timeline_lufs"`
	TimelineStepS Value  `json:"timeline_step_s"`
}

// Peak is measured over all channels; packages truepeak and faults.
type Peak struct {
	TruePeakDBTP   Value `json:"true_peak_dbtp"`
	SamplePeakDBFS Value `json:"sample_peak_dbfs"`
	PLRLU          Value `json:"plr_lu"` // true peak minus integrated loudness
	ClippedRuns    int   `json:"clipped_runs"`
}

// LowEnd compares the bottom with what lies above it, over the loudest 30 s;
// package lowend.
type LowEnd struct {
	LowDB      Value `json:"low_db"`       // 20-150 Hz
	SubDB      Value `json:"sub_db"`       // 20-60 Hz
	BassDB     Value `json:"bass_db"`      // 60-150 Hz
	MonoLossDB Value `json:"mono_loss_db"` // below 150 Hz; 0 or negative
}

// Balance is how the parts of the spectrum stand to one another in the loud part of
// the track, each in dB against the loudness; package balance.
type Balance struct {
	LowDB      Value `json:"low_db"`       // 18-141 Hz, in the heaviest window
	LowMidDB   Value `json:"low_mid_db"`   // 178-562 Hz
	MidDB      Value `json:"mid_db"`       // 562 Hz-2.2 kHz
	PresenceDB Value `json:"presence_db"`  // 2.2-5.6 kHz
	TrebleDB   Value `json:"treble_db"`    // 5.6-11 kHz
	AirDB      Value `json:"air_db"`       // 11-18 kHz
	SubShareDB Value `json:"sub_share_db"` // 18-56 Hz over 56-141 Hz, in the heaviest window
	// ThirdsDB are the third octaves at 63, 80, 125 and 160 Hz, in the heaviest window, and at
	// 6.3, 8, 10 and 12.5 kHz; empty in records of before they were measured.
	ThirdsDB Values `json:"thirds_db,omitempty"`
}

// Spectrum holds third-octave levels in dB relative to full scale; package
// spectrum.
type Spectrum struct {
	CentreHz  []float64 `json:"centre_hz"` // 31 nominal centres, 20 Hz to 20 kHz
	LoudestDB Values    `json:"loudest_db"`
	WholeDB   Values    `json:"whole_db"`
	// MidDB and SideDB are LoudestDB of the sum and of the difference of two channels,
	// whose powers add up to it; only for files of two channels, and missing in records
	// of before they were measured.
	MidDB       Values `json:"mid_db,omitempty"`
	SideDB      Values `json:"side_db,omitempty"`
	BandwidthHz Value  `json:"bandwidth_hz"`
}

// Width is how the two channels stand to each other; package width.
type Width struct {
	LowCorrelation Value `json:"low_correlation"` // 20-150 Hz, loudest 30 s; -1 to 1
	// The most that any third octave loses in mono for four seconds.
	MonoWorstDB  Value `json:"mono_worst_db"`
	MonoWorstHz  Value `json:"mono_worst_hz"`
	MonoWorstAtS Value `json:"mono_worst_at_s"`
}

// Tempo is measured from the audio, never copied from a tag; package tempo.
type Tempo struct {
	BPM            Value `json:"bpm"`
	AlternativeBPM Value `json:"alternative_bpm"`
	Confidence     Value `json:"confidence"` // 0 to 1
	FirstBeatS     Value `json:"first_beat_s"`
	// BeatConfidence is the chance, 0 to 1, that FirstBeatS is on the beat and not half of one
	// or a quarter off; 0 where it is not known.
	BeatConfidence Value `json:"beat_confidence,omitempty"`
	FirstDownbeatS Value `json:"first_downbeat_s"` // begins a bar of four, as every fourth beat after it
	// DownbeatConfidence is the chance, 0 to 1, that FirstDownbeatS does; 0 where that is none.
	DownbeatConfidence Value `json:"downbeat_confidence,omitempty"`
	DriftPercent       Value `json:"drift_percent"`
	DriftFromS         Value `json:"drift_from_s"`
	// ChangeAtS is where one steady tempo gives way to another, from ChangeFromBPM to
	// ChangeToBPM; BPM is that which is held longest, and the first beat of the first part.
	ChangeAtS     Value `json:"change_at_s"`
	ChangeFromBPM Value `json:"change_from_bpm"`
	ChangeToBPM   Value `json:"change_to_bpm"`
	// Changes are all of them where there are several, that one first.
	Changes      []TempoChange `json:"changes,omitempty"`
	SwingPercent Value         `json:"swing_percent"` // of the sixteenths: 50 straight, 66.7 triplet
	// EighthSwingPercent is the same of the eighths, in percent of a beat; 0 where none is given.
	EighthSwingPercent Value `json:"eighth_swing_percent,omitempty"`
	// SwingConfidence and EighthSwingConfidence are the chance, 0 to 1, that each is within two
	// points; 0 where it is not given.
	SwingConfidence       Value `json:"swing_confidence,omitempty"`
	EighthSwingConfidence Value `json:"eighth_swing_confidence,omitempty"`
	// Pattern tells how the low end moves: the autocorrelation of its onsets at one
	// to sixteen sixteenths; empty without a tempo.
	Pattern Values `json:"pattern"`
}

// sureBeat is the chance from which the beat is relied on: of whole pieces 99 % are right from there
// on, of excerpts of 30 s 96 %; below it 92 % and 68 %.
const sureBeat = 0.8

// BeatInDoubt tells that the beat may well lie half of one or a quarter beside FirstBeatS.
func (t *Tempo) BeatInDoubt() bool {
	return t.FirstBeatS.Exists() && t.BeatConfidence > 0 && t.BeatConfidence < sureBeat
}

// TempoChange is a place where one steady tempo gives way to another.
type TempoChange struct {
	AtS     Value `json:"at_s"`
	FromBPM Value `json:"from_bpm"`
	ToBPM   Value `json:"to_bpm"`
}

// Edges are the first and the last part of a track, of 60 s at most, that carry a beat; of
// one without a beat, that can be heard. Package edges.
type Edges struct {
	Start Edge `json:"start"`
	End   Edge `json:"end"`
}

// Edge is one of them.
type Edge struct {
	FromS  Value `json:"from_s"`
	ToS    Value `json:"to_s"`
	LUFS   Value `json:"lufs"`    // BS.1770, gated, over the part
	SubDB  Value `json:"sub_db"`  // 20-60 Hz against what lies above 150 Hz, as in LowEnd
	BassDB Value `json:"bass_db"` // 60-150 Hz likewise
	Beat   bool  `json:"beat"`    // it carries a beat
}

// Key is in plain musical notation; package key.
type Key struct {
	Name        string `json:"name"`  // "A minor"
	Tonic       string `json:"tonic"` // C, C#, D, Eb, E, F, F#, G, Ab, A, Bb, B
	Mode        string `json:"mode"`  // "major" or "minor"
	Confidence  Value  `json:"confidence"`
	RunnerUp    string `json:"runner_up"`
	TuningCents Value  `json:"tuning_cents"`
	// Agreement is the share of the track, 0 to 1, whose own answer is this key.
	Agreement Value `json:"agreement"`
	// Changes are in order of their place; Name is then the key that is held longest.
	Changes []KeyChange `json:"changes,omitempty"`
}

// KeyChange is a place where the key changes.
type KeyChange struct {
	AtS  Value  `json:"at_s"` // to 5 s
	From string `json:"from"` // "A minor"
	To   string `json:"to"`
}

// Kick is how kick and bass share the bottom, in the 30 s with most of it; package kick.
type Kick struct {
	Kicks      int    `json:"kicks"`        // found in those
	OverBassDB Value  `json:"over_bass_db"` // the kick over the bass between the kicks
	DipDB      Value  `json:"dip_db"`       // by how much notes that are held through kicks go down, at most 24
	BackAfterS Value  `json:"back_after_s"` // from the attack until it is 3 dB from where it was
	SubHz      Value  `json:"sub_hz"`       // of the note that sounds most below 110 Hz, without the kick
	SubNote    string `json:"sub_note"`     // its name, "G1"
	SubCents   Value  `json:"sub_cents"`    // above it
	SubInKey   *bool  `json:"sub_in_key"`   // nil without a key or a note
	SubUp      Value  `json:"sub_up"`       // share of the time, 0 to 1
	// HeldThrough is how many kicks a note of the sub runs on through, undiminished;
	// AttackSumDB the power of both at those attacks beside that of each alone, in the middle of
	// them, AttackWorstDB what one in ten is under.
	HeldThrough   int   `json:"held_through,omitempty"`
	AttackSumDB   Value `json:"attack_sum_db"`
	AttackWorstDB Value `json:"attack_worst_db"`
}

// Fault is something wrong that a big system will show or a player will stumble
// over; reason.Kind lists the kinds.
type Fault struct {
	Kind   string `json:"kind"`
	Detail string `json:"detail"`
	AtS    Value  `json:"at_s"`
	Count  int    `json:"count,omitempty"` // places, of clicks; 0 where a kind is not counted
}

// Problem says why a file could not be measured, or not wholly.
type Problem struct {
	Kind   reason.ProblemKind `json:"kind"`
	Detail string             `json:"detail"`
}

// Empty returns a Measurement in which no number exists.
func Empty() Measurement {
	return Measurement{
		File: File{DurationS: None},
		Loudness: Loudness{
			IntegratedLUFS: None, Loudest30sLUFS: None, Loudest30sStartS: None, Loudest30sOverS: None,
			ShortTermMaxLUFS: None, MomentaryMaxLUFS: None, RangeLU: None,
			TimelineLUFS: Values{}, TimelineStepS: None,
		},
		Peak:   Peak{TruePeakDBTP: None, SamplePeakDBFS: None, PLRLU: None},
		LowEnd: LowEnd{LowDB: None, SubDB: None, BassDB: None, MonoLossDB: None},
		Balance: Balance{
			LowDB: None, LowMidDB: None, MidDB: None, PresenceDB: None, TrebleDB: None, AirDB: None, SubShareDB: None,
		},
		Spectrum: Spectrum{CentreHz: []float64{}, LoudestDB: Values{}, WholeDB: Values{}, BandwidthHz: None},
		Tempo: Tempo{
			BPM: None, AlternativeBPM: None, Confidence: None, FirstBeatS: None,
			FirstDownbeatS: None, DriftPercent: None, DriftFromS: None, SwingPercent: None, Pattern: Values{},
			ChangeAtS: None, ChangeFromBPM: None, ChangeToBPM: None,
		},
		Faults: []Fault{},
	}
}
