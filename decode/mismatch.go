package decode

import (
	"path/filepath"
	"slices"
	"strings"

	"dubgauge/decode/stream"
)

// endings are the containers, as Info.Format has them, that a file's ending promises.
// Players go by the ending before they look into the file (common practice, no
// source). Endings that are not here promise nothing.
var endings = map[string][]string{
	".wav": {"wav"}, ".wave": {"wav"}, ".bwf": {"wav"}, ".rf64": {"wav"}, ".w64": {"w64"},
	".aif": {"aiff"}, ".aiff": {"aiff"}, ".aifc": {"aiff"}, ".afc": {"aiff"},
	".flac": {"flac"}, ".fla": {"flac"}, ".mp3": {"mp3"}, ".mp2": {"mp2"},
	".m4a": {"m4a", "mp4", "mov"}, ".mp4": {"m4a", "mp4", "mov"}, ".m4v": {"m4a", "mp4", "mov"}, ".mov": {"m4a", "mp4", "mov"},
	".alac": {"m4a", "mp4", "mov", "caf"}, ".aac": {"aac", "m4a", "mp4"}, ".adts": {"aac"},
	".ogg": {"ogg", "opus"}, ".oga": {"ogg", "opus"}, ".opus": {"opus"}, ".wma": {"wma"}, ".asf": {"wma"}, ".caf": {"caf"},
	".wv": {"wavpack"}, ".ape": {"ape"}, ".tta": {"tta"}, ".mpc": {"musepack"}, ".au": {"au"}, ".snd": {"au"}, ".ac3": {"ac3"},
}

// titles are the containers as people call them.
var titles = map[string]string{
	"wav": "a WAV file", "aiff": "an AIFF file", "flac": "a FLAC file", "mp3": "an MP3 file", "mp2": "an MPEG audio file of layer I or II",
	"m4a": "an M4A file", "mp4": "an MP4 video", "mov": "a QuickTime file", "aac": "a raw AAC stream", "ogg": "an Ogg file", "opus": "an Opus file",
	"wma": "a Windows Media file",
}

// Mismatch holds the ending of a file's name or path against what its content turned
// out to be: WAV named .mp3, MP3 named .wav. The fault, of kind Unsupported as all of
// the music may be there, is to be added to those of the stream; nil means that they
// agree, or that the ending promises nothing.
func Mismatch(name string, info Info) *Error {
	ending := filepath.Ext(name)
	promised, ok := endings[strings.ToLower(ending)]
	if !ok || slices.Contains(promised, info.Format) {
		return nil
	}
	title, ok := titles[info.Format]
	if !ok {
		title = "in the format " + info.Format
	}
	return stream.Errorf(Unsupported, "the name ends in %s, but this is %s: players that go by the name refuse it or play noise", ending, title).Of(stream.WrongName)
}
