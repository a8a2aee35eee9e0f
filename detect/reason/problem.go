package reason

import "strings"

// ProblemKind says why a file could not be measured, or not wholly, as the measurement
// record does. The first three are those of a decoder's error.
type ProblemKind string

const (
	ProblemUnsupported ProblemKind = "unsupported"
	ProblemDamaged     ProblemKind = "damaged"
	ProblemTruncated   ProblemKind = "truncated"
	// ProblemUnreadable is a file that the medium or the operating system did not give.
	ProblemUnreadable ProblemKind = "unreadable"
	// ProblemRecord is a file that was measured, whose record did not outlast the
	// database.
	ProblemRecord ProblemKind = "record"
)

// Reason is the short code for the trim sheet.
func (k ProblemKind) Reason() string {
	if k == ProblemUnsupported {
		return "format"
	}
	return string(k)
}

// Remedy is what to do, as a part of a sentence.
func (k ProblemKind) Remedy() string {
	switch k {
	case ProblemUnsupported:
		return "if it plays elsewhere, convert a copy to WAV, AIFF, FLAC or MP3; if it does not, replace the file"
	case ProblemRecord:
		return "scan its folder again, which measures the file anew"
	case ProblemUnreadable:
		return "check the stick and the permissions of the file"
	}
	return "copy the file again from its source"
}

// Sentence says what is wrong and what to do. detail is without a full stop.
func (k ProblemKind) Sentence(detail string) string {
	s := Capital(detail)
	if !strings.Contains(detail, string(k)) {
		s = Capital(string(k)) + ": " + detail
	}
	return s + ". " + Capital(k.Remedy()) + "."
}

// Short is said of a sound that is audible and too short to have a loudness.
const (
	Short         = "short"
	ShortSentence = "Too short to have a loudness (under 0.4 s): no trim is given, set its level by ear."
)

// NoFigures is said of a record from elsewhere that has no figures to judge.
const (
	NoFigures         = "no figures"
	NoFiguresSentence = "The record of this track has no figures: measure the file anew."
)

// NothingAudible is said of a file that decodes to silence, where no fault says so.
const NothingAudible = "Nothing audible in the whole track: replace the file."
