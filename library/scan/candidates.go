package scan

import (
	"errors"
	"io"
	"path/filepath"
	"strings"
)

// audioEndings are taken for music whatever the content: should it not decode,
// the track is unreadable and said to be so.
var audioEndings = []string{"wav", "wave", "bwf", "rf64", "w64", "aif", "aiff", "aifc", "afc", "flac", "fla", "mp3", "mp2",
	"mpga", "mp1", "m4a", "m4b", "m4p", "aac", "adts", "alac", "ogg", "oga", "opus", "spx", "wma", "wv", "ape", "tta",
	"mpc", "ac3", "ec3", "dts", "dsf", "dff", "mka", "caf", "au", "snd", "amr", "tak", "shn", "weba", "3ga"}

// otherEndings are known to hold no track and are passed over without a look
// inside.
var otherEndings = []string{
	"jpg", "jpeg", "png", "gif", "bmp", "webp", "tif", "tiff", "heic", "svg", "ico", "psd", // pictures
	"m3u", "m3u8", "pls", "xspf", "cue", "wpl", "asx", "zpl", // playlists
	"txt", "md", "nfo", "log", "csv", "tsv", "json", "xml", "html", "htm", "rtf", "pdf", "doc", "docx", "xls", "xlsx",
	"odt", "ods", "pages", "numbers", "url", "webloc", "sfv", "md5", "sha1", "sha256", "yaml", "yml", "toml", "ini",
	"zip", "rar", "7z", "gz", "tar", "bz2", "xz", "iso", "dmg", "exe", "msi", "app", "pkg", "dll", "so", "sh", "bat",
	"db", "sqlite", "sqlite3", "dat", "bin", "tmp", "bak", "part", "crdownload", "lnk", "plist",
	"mid", "midi", "sf2", "nki", "fxp", "fxb", "vst", "vst3", "als", "asd", "alc", "adg", "logicx", "flp", "cpr", "ptx",
	"mov", "avi", "mkv", "wmv", "mpg", "mpeg", "webm", "flv", "vob"} // videos

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
