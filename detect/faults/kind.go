package faults

// Kind names a kind of fault as the measurement record does.
type Kind string

// The kinds. Damaged and Truncated come from the decoder (see FromStream); Name,
// NameClash, FileSize and Duplicate from the library (see Names and Duplicates);
// all others from a Meter.
const (
	Silent       Kind = "silent"        // nothing audible in the whole track
	SilenceStart Kind = "silence_start" // a few seconds of silence before the music
	SilenceEnd   Kind = "silence_end"   // and after it
	LongStart    Kind = "long_silence_start"
	LongEnd      Kind = "long_silence_end"
	DCOffset     Kind = "dc_offset"
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
)

// Severity says what a fault does to the verdict.
type Severity int

const (
	// Note is said and changes nothing.
	Note Severity = iota
	// CheckIt makes the verdict "check" at best.
	CheckIt
	// HoldBack is for what a big system will show: the verdict is "hold back".
	HoldBack
)

// String names the severity.
func (s Severity) String() string {
	switch s {
	case CheckIt:
		return "check"
	case HoldBack:
		return "hold back"
	}
	return "note"
}

// place is what the verdict says of a kind.
type place struct {
	reason   string
	severity Severity
	effect   string
	remedy   string
}

var places = map[Kind]place{
	Silent: {"silence", HoldBack,
		"Nothing comes out of the system.",
		"Replace the file."},
	SilenceStart: {"silence", Note,
		"Started from the beginning of the file, the track comes in late.",
		"Set the cue point on the first sound, or trim the start."},
	SilenceEnd: {"silence", Note,
		"The file runs on after the music has ended.",
		"Mix out before the end, or trim the end."},
	LongStart: {"silence", CheckIt,
		"Started from the beginning of the file, the track leaves the floor in silence.",
		"Set the cue point on the first sound, or trim the start."},
	LongEnd: {"silence", CheckIt,
		"The music stops long before the time display says so, and the floor stands in silence.",
		"Go by the waveform and mix out early, or trim the end."},
	DCOffset: {"dc offset", CheckIt,
		"The cones rest off centre: less headroom, and a thump at every start, stop and cut.",
		"Render again with a high-pass at 20 Hz or lower, or use an editor's DC removal."},
	DeadChannel: {"dead channel", HoldBack,
		"One side of the room hears nothing, and a mono system is 6 dB down.",
		"Find a whole copy; failing that, copy the good channel to both sides."},
	WeakChannel: {"weak channel", CheckIt,
		"The track leans to one side of the room, and its level on a mono system misleads.",
		"Find out which channel is right and balance them before the gig."},
	Polarity: {"polarity", HoldBack,
		"On a mono system the channels cancel: most of the track disappears.",
		"Invert one channel in an editor and listen in mono."},
	PolarityLow: {"mono loss", HoldBack,
		"Subs are fed in mono: the low end cancels and the floor loses its weight.",
		"Sum the low end to mono below about 150 Hz, or invert one channel there, and listen in mono."},
	Mono: {"mono", Note,
		"The track plays narrow next to stereo records; nothing is lost on a mono system.",
		"Nothing needs doing; look for the stereo version if there is one."},
	Click: {"click", CheckIt,
		"A jump in the waveform cracks through the tweeters.",
		"Listen at the given place; if it clicks, copy the file again or repair it in an editor."},
	Clipped: {"clipped", CheckIt,
		"Peaks are cut flat: harsh in the highs when played loud.",
		"Listen on good monitors; for a track of your own, render again with 1 to 2 dB less into the limiter."},
	ClippedHard: {"clipped", HoldBack,
		"So many peaks are cut flat that a big system plays it as distortion and tires ears and tweeters.",
		"Find a clean master; for a track of your own, render again with less gain before the last stage."},
	Transcode: {"transcode", CheckIt,
		"The file is lossless but what is in it is probably not: the top is missing, and cymbals and space smear when played loud.",
		"Get the file from its source again, in a lossless form."},
	BandLimit: {"band limit", Note,
		"The top end is missing, whatever the reason; it may sound dull next to other records.",
		"Listen on good monitors; if there is another source of the track, compare."},
	Format: {"format", CheckIt,
		"Many club players refuse this kind of file: it may not load.",
		"Convert a copy to WAV or AIFF, 16 or 24 bit, 44.1 or 48 kHz, stereo, or to MP3 at 320 kbit/s."},
	FormatNewer: {"format", Note,
		"Only newer club players read this kind of file.",
		"Ask for the players' model, or keep a WAV, AIFF or MP3 copy at hand."},
	Damaged: {"damaged", HoldBack,
		"Parts of the file cannot be decoded: expect gaps, noise, or a player that stops.",
		"Copy the file again from its source."},
	Truncated: {"truncated", HoldBack,
		"The file stops before its end, and the music with it.",
		"Copy the file again from its source."},
	Name: {"name", CheckIt,
		"The file cannot be copied under this name to a stick in FAT32 or exFAT, or a player cannot show it.",
		"Rename it."},
	NameClash: {"name", CheckIt,
		"On a stick in FAT32 or exFAT these names are one: copying the second overwrites the first.",
		"Rename one of them."},
	FileSize: {"name", CheckIt,
		"The file does not fit on a stick in FAT32, which many players want.",
		"Split the recording or store it as FLAC or MP3."},
	Duplicate: {"duplicate", Note,
		"The same audio lies on the stick under another name: the wrong copy may be the one that you cued and trimmed.",
		"Keep the better copy."},
}

// Known tells whether k is one of the kinds above.
func (k Kind) Known() bool { _, ok := places[k]; return ok }

// Reason is the short code for the trim sheet. A kind that is not known is its
// own code.
func (k Kind) Reason() string {
	if p, ok := places[k]; ok {
		return p.reason
	}
	return string(k)
}

// Severity is what the fault does to the verdict; CheckIt for a kind that is
// not known, so that it is looked at.
func (k Kind) Severity() Severity {
	if p, ok := places[k]; ok {
		return p.severity
	}
	return CheckIt
}

// Effect says in one sentence what the fault does on a big system.
func (k Kind) Effect() string { return places[k].effect }

// Remedy says in one sentence what to do about it.
func (k Kind) Remedy() string { return places[k].remedy }
