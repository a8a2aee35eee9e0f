package library

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"path/filepath"
	"strings"
)

// audioEndings are taken for music whatever the content: should it not decode,
// the track is unreadable and said to be so.
var audioEndings = set("wav", "wave", "bwf", "rf64", "w64", "aif", "aiff", "aifc", "afc", "flac", "fla", "mp3", "mp2",
	"mpga", "mp1", "m4a", "m4b", "m4p", "aac", "adts", "alac", "ogg", "oga", "opus", "spx", "wma", "wv", "ape", "tta",
	"mpc", "ac3", "ec3", "dts", "dsf", "dff", "mka", "caf", "au", "snd", "amr", "tak", "shn", "weba", "3ga")

// otherEndings are known to hold no track and are passed over without a look
// inside.
var otherEndings = set(
	"jpg", "jpeg", "png", "gif", "bmp", "webp", "tif", "tiff", "heic", "svg", "ico", "psd", // pictures
	"m3u", "m3u8", "pls", "xspf", "cue", "wpl", "asx", "zpl", // playlists
	"txt", "md", "nfo", "log", "csv", "tsv", "json", "xml", "html", "htm", "rtf", "pdf", "doc", "docx", "xls", "xlsx",
	"odt", "ods", "pages", "numbers", "url", "webloc", "sfv", "md5", "sha1", "sha256", "yaml", "yml", "toml", "ini",
	"zip", "rar", "7z", "gz", "tar", "bz2", "xz", "iso", "dmg", "exe", "msi", "app", "pkg", "dll", "so", "sh", "bat",
	"db", "sqlite", "sqlite3", "dat", "bin", "tmp", "bak", "part", "crdownload", "lnk", "plist",
	"mid", "midi", "sf2", "nki", "fxp", "fxb", "vst", "vst3", "als", "asd", "alc", "adg", "logicx", "flp", "cpr", "ptx",
	"mov", "avi", "mkv", "wmv", "mpg", "mpeg", "webm", "flv", "vob") // videos

// ending is the file name's ending in lower case, without the dot.
func ending(name string) string {
	return strings.ToLower(strings.TrimPrefix(filepath.Ext(name), "."))
}

// sniffBytes is how much of a file without a known ending is looked at.
const sniffBytes = 4096

// soundsLike tells whether the content of a file without a known ending is
// music in a form that has a signature of its own.
func soundsLike(fsys FS, name string) (bool, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return false, err
	}
	defer f.Close()
	head := make([]byte, sniffBytes)
	n, err := f.ReadAt(head, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, err
	}
	return isAudio(head[:n]), nil
}

// isAudio looks for the signatures of audio files.
func isAudio(h []byte) bool {
	at := func(offset int, sign string) bool {
		return len(h) >= offset+len(sign) && string(h[offset:offset+len(sign)]) == sign
	}
	switch {
	case at(8, "WAVE"):
		return at(0, "RIFF") || at(0, "RF64") || at(0, "BW64") || at(0, "RIFX")
	case at(0, "FORM"):
		return at(8, "AIFF") || at(8, "AIFC")
	case at(0, "OggS"):
		return !bytes.Contains(h, []byte("\x80theora"))
	case at(4, "ftyp"):
		return at(8, "M4A") || at(8, "M4B")
	case at(0, "fLaC"), at(0, "ID3"), at(0, "wvpk"), at(0, "MAC "), at(0, "DSD "), at(0, "TTA1"), at(0, "caff"):
		return true
	}
	return twoMP3Frames(h)
}

// twoMP3Frames looks for a frame of MPEG audio layer III (ISO 11172-3, 2.4.1.3)
// at the start and for another of the same kind where it ends: one alone
// happens by chance.
func twoMP3Frames(h []byte) bool {
	n := mp3FrameBytes(h)
	if n == 0 || len(h) < n+4 || mp3FrameBytes(h[n:]) == 0 {
		return false
	}
	const kind = 0xfffe0c00 // sync, version, layer, sampling rate
	return (binary.BigEndian.Uint32(h)^binary.BigEndian.Uint32(h[n:]))&kind == 0
}

func mp3FrameBytes(h []byte) int {
	if len(h) < 4 || h[0] != 0xff || h[1]&0xe0 != 0xe0 || h[1]&0x06 != 0x02 {
		return 0
	}
	version := int(h[1]>>3) & 3 // 0 is 2.5, 2 is 2, 3 is 1
	rates := [3]int{44100, 48000, 32000}
	if version == 1 || h[2]>>2&3 == 3 {
		return 0
	}
	rate := rates[h[2]>>2&3]
	kbps := [16]int{0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320}
	samples := 1152
	if version != 3 {
		kbps = [16]int{0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160}
		samples = 576
		rate /= 2
		if version == 0 {
			rate /= 2
		}
	}
	k := kbps[h[2]>>4]
	if k == 0 {
		return 0
	}
	return samples/8*k*1000/rate + int(h[2]>>1&1)
}
