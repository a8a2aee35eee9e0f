package reason

import (
	"cmp"
	"strings"
)

// Kind names a kind of fault as the measurement record does.
type Kind string

// The kinds. Damaged, Truncated, NoEnd and TagLength come from the decoder; Ending from
// what it found and the name; Name, NameClash, FileSize and Duplicate from the library,
// which alone sees more than one file; all others from the audio.
const (
	Silent       Kind = "silent"        // nothing audible in the whole track
	SilenceStart Kind = "silence_start" // a few seconds of silence before the music
	SilenceEnd   Kind = "silence_end"   // and after it
	LongStart    Kind = "long_silence_start"
	LongEnd      Kind = "long_silence_end"
	DCOffset     Kind = "dc_offset"
	DCSlight     Kind = "dc_slight" // as much as nobody hears but as a tick at a cut
	DeadChannel  Kind = "dead_channel"
	WeakChannel  Kind = "weak_channel"
	Polarity     Kind = "polarity"     // one channel upside down, whole band
	PolarityLow  Kind = "polarity_low" // the same below 150 Hz only
	Mono         Kind = "mono"         // two equal channels
	Click        Kind = "click"
	Clipped      Kind = "clipped"
	ClippedHard  Kind = "clipped_hard" // so much that it is heard as distortion
	Transcode    Kind = "transcode"
	BandLimit    Kind = "band_limit"   // the same edge without a lossy encoder's traces
	Format       Kind = "format"       // many players refuse it
	FormatNewer  Kind = "format_newer" // only newer players read it
	Damaged      Kind = "damaged"
	Truncated    Kind = "truncated"
	Name         Kind = "name"       // FAT32 or exFAT cannot hold the name
	NameClash    Kind = "name_clash" // two names that are one on FAT32 and exFAT
	FileSize     Kind = "file_size"  // too large for FAT32
	Duplicate    Kind = "duplicate"
	Ending       Kind = "name_ending" // the name promises another format than the content has
	NoEnd        Kind = "no_end"      // nothing marks the end of the content as one
	TagLength    Kind = "tag_length"  // a tag leads past the music or short of it

	// What breaks off in the course of a track.
	Hole         Kind = "hole"
	HoleEnd      Kind = "hole_end" // the sound stops and never comes back
	DeadPart     Kind = "dead_part"
	WeakPart     Kind = "weak_part"
	PolarityPart Kind = "polarity_part"
	Delay        Kind = "channel_delay"
	CutStart     Kind = "cut_start"
	StartsInside Kind = "starts_inside" // cut in the middle of sound, with no beat to tell whether it is meant
	CutEnd       Kind = "cut_end"
	CutFade      Kind = "cut_fade"    // well above silence
	EndsInside   Kind = "ends_inside" // cut in the middle of sound, on a beat inside a bar, which may be meant
	CutTail      Kind = "cut_tail"    // where it is hardly heard
	Repeat       Kind = "repeat"
	RepeatUnsure Kind = "repeat_unsure" // with no beat to tell whether it is meant
	Jump         Kind = "beat_jump"     // a piece is missing, or there twice
	SwappedPart  Kind = "swapped_part"
	Foreign      Kind = "foreign" // data that is no sound
)

// What a transfer from a record or a tape leaves, and what a cable adds: of each a
// plain kind and one that only a quiet room hears.
const (
	Clicks      Kind = "clicks" // many, from end to end; Click is a single one
	ClicksFew   Kind = "clicks_few"
	Hum         Kind = "hum"
	HumFaint    Kind = "hum_faint"
	Rumble      Kind = "rumble"
	RumbleFaint Kind = "rumble_faint"
	Hiss        Kind = "hiss"
	HissFaint   Kind = "hiss_faint"
	Wow         Kind = "wow"
	WowSlight   Kind = "wow_slight"
)

// Reason is the short code for the trim sheet. A kind that is not known is its
// own code.
func (k Kind) Reason() string {
	if p, ok := places[k]; ok {
		return p.reason
	}
	return string(k)
}

// Severity is what the fault does to the verdict; Check for a kind that is not
// known, so that it is looked at.
func (k Kind) Severity() Severity {
	if p, ok := places[k]; ok {
		return p.severity
	}
	return Check
}

// Sentence says what was found, where, what that does on a big system and what to do.
// detail is without a full stop; where it is empty the code stands for it. at is in seconds,
// NaN for a fault without a place.
func (k Kind) Sentence(detail string, at float64) string {
	if detail == "" { // of a record that another program wrote
		detail = cmp.Or(k.Reason(), "a fault without a name")
	}
	s := Capital(detail)
	if clock := Clock(at); clock != "" {
		s += " (at " + clock + ")"
	}
	for _, part := range []string{places[k].effect, places[k].remedy} {
		if part != "" {
			s = strings.TrimRight(s, ".") + ". " + part
		}
	}
	return s
}
