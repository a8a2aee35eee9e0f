package external

import "bytes"

// Container is a file format that is read through ffmpeg.
type Container struct {
	Name    string // as stream.Info has it
	Title   string // as people call it
	demuxer string // ffmpeg's reader for it: nothing else is tried
}

// magic is a mark by which a container is known.
type magic struct {
	offset int
	bytes  string
	Container
}

// magics are tried in order.
var magics = []magic{
	{28, "OpusHead", Container{"opus", "Opus", "ogg"}},
	{28, "\x01vorbis", Container{"ogg", "Ogg Vorbis", "ogg"}},
	{28, "\x7fFLAC", Container{"ogg", "FLAC in Ogg", "ogg"}},
	{0, "OggS", Container{"ogg", "Ogg", "ogg"}},
	{4, "ftypqt", Container{"mov", "QuickTime", "mov"}},
	{4, "ftypM4V", Container{"mp4", "MP4 video", "mov"}},
	{4, "ftypM4A", Container{"m4a", "M4A (AAC or ALAC)", "mov"}},
	{4, "ftyp", Container{"m4a", "MP4 (AAC or ALAC)", "mov"}},
	{4, "moov", Container{"mov", "QuickTime", "mov"}},
	{4, "mdat", Container{"mov", "QuickTime", "mov"}},
	{0, "\x30\x26\xb2\x75\x8e\x66\xcf\x11", Container{"wma", "Windows Media Audio", "asf"}},
	{0, "\x1a\x45\xdf\xa3", Container{"matroska", "Matroska or WebM", "matroska"}},
	{0, "caff", Container{"caf", "Core Audio Format", "caf"}},
	{0, ".snd", Container{"au", "AU", "au"}},
	{0, "riff\x2e\x91\xcf\x11\xa5\xd6\x28\xdb", Container{"w64", "Wave64", "w64"}},
	{0, "wvpk", Container{"wavpack", "WavPack", "wv"}},
	{0, "MAC ", Container{"ape", "Monkey's Audio", "ape"}},
	{0, "TTA1", Container{"tta", "True Audio (TTA)", "tta"}},
	{0, "MPCK", Container{"musepack", "Musepack", "mpc8"}},
	{0, "MP+", Container{"musepack", "Musepack", "mpc"}},
	{0, "ajkg", Container{"shorten", "Shorten", "shn"}},
	{0, ".RMF", Container{"rm", "RealMedia", "rm"}},
	{0, "#!AMR", Container{"amr", "AMR", "amr"}},
	{0, "\x0b\x77", Container{"ac3", "AC-3", "ac3"}},
	{0, "\x7f\xfe\x80\x01", Container{"dts", "DTS", "dts"}},
}

// The containers of our own readers whose rarer codings ffmpeg knows.
var (
	WAV  = Container{"wav", "WAV", "wav"}
	AIFF = Container{"aiff", "AIFF", "aiff"}
	MPEG = Container{"mp2", "MPEG audio layer I or II", "mp3"}
)

// Sniff finds the container whose mark head bears; head is the file from behind
// its ID3v2 tags on.
func Sniff(head []byte) (Container, bool) {
	for _, m := range magics {
		if len(head) > m.offset && bytes.HasPrefix(head[m.offset:], []byte(m.bytes)) {
			return m.Container, true
		}
	}
	if adts(head) {
		return Container{"aac", "AAC (ADTS)", "aac"}, true
	}
	return Container{}, false
}

// adts says whether head begins with two frames of an ADTS stream, ISO/IEC 13818-7
// section 6.2: 12 bits of sync, layer 0, and a length of 13 bits that leads to the
// next such header.
func adts(head []byte) bool {
	at := 0
	for range 2 {
		if len(head) < at+7 || head[at] != 0xff || head[at+1]&0xf6 != 0xf0 {
			return false
		}
		length := int(head[at+3]&3)<<11 | int(head[at+4])<<3 | int(head[at+5])>>5
		if length < 7 {
			return false
		}
		at += length
	}
	return true
}
