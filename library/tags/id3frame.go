package tags

import (
	"bytes"
	"strings"
)

// frames maps the text frames of ID3v2.2, 2.3 and 2.4.
var frames = map[string]field{
	"TT2": title, "TIT2": title,
	"TP1": artist, "TPE1": artist, "TP2": albumArtist, "TPE2": albumArtist,
	"TAL": album, "TALB": album,
	"TPB": label, "TPUB": label,
	"TRC": isrc, "TSRC": isrc,
	"TYE": year, "TYER": year, "TDRC": year, "TDRL": year,
	"TOR": originalYear, "TORY": originalYear, "TDOR": originalYear,
	"TCO": genre, "TCON": genre,
	"TBP": bpm, "TBPM": bpm,
	"TKE": key, "TKEY": key,
}

func wantedFrame(id string) bool {
	switch id {
	case "TXX", "TXXX", "COM", "COMM":
		return true
	}
	_, ok := frames[id]
	return ok
}

// id3Comment is a COMM frame.
type id3Comment struct{ description, text string }

// take keeps what a frame says.
func (fr *id3Frames) take(id string, b []byte) {
	if len(b) == 0 {
		return
	}
	switch id {
	case "COM", "COMM":
		if len(b) < 4 {
			return
		}
		// Encoding, three bytes of language, description, text.
		v := id3Strings(b[0], b[4:])
		c := id3Comment{text: clean(strings.Join(v[min(1, len(v)):], " "))}
		c.description = v[0]
		if c.text != "" && len(fr.comments) < maxValues {
			fr.comments = append(fr.comments, c)
		}
	case "TXX", "TXXX":
		v := id3Strings(b[0], b[1:])
		if k, ok := named(v[0]); ok {
			for _, s := range v[1:] {
				fr.f.add(k, s)
			}
		}
	default:
		k := frames[id]
		for _, s := range id3Strings(b[0], b[1:]) {
			if k == genre {
				for _, g := range id3Genres(s) {
					fr.f.add(k, g)
				}
				continue
			}
			fr.f.add(k, s)
		}
	}
}

// addComment keeps the comment that a person wrote: the one without a description,
// else one whose description says comment; programs keep their own notes under
// other descriptions.
func (fr *id3Frames) addComment() {
	for _, want := range []func(string) bool{
		func(d string) bool { return d == "" },
		func(d string) bool { return strings.Contains(strings.ToLower(d), "comment") },
	} {
		for _, c := range fr.comments {
			if want(clean(c.description)) {
				fr.f.add(comment, c.text)
			}
		}
		if len(fr.f[comment]) > 0 {
			return
		}
	}
}

// id3Strings splits the text of a frame at its NULs and decodes each part. There
// is always at least one.
func id3Strings(encoding byte, b []byte) []string {
	switch encoding {
	case 1:
		return utf16Strings(b, false)
	case 2:
		return utf16Strings(b, true)
	case 3:
		return decodeEach(b, utf8Text)
	case 0:
		return decodeEach(b, latin)
	}
	// No encoding: the first byte is text already.
	return decodeEach(append([]byte{encoding}, b...), latin)
}

func decodeEach(b []byte, decode func([]byte) string) []string {
	parts := bytes.Split(b, []byte{0})
	out := make([]string, len(parts))
	for i, p := range parts {
		out[i] = decode(p)
	}
	return out
}

// utf16Strings splits at 16-bit NULs. Every part may have a byte order mark; one
// that has none follows the part before.
func utf16Strings(b []byte, bigEndian bool) []string {
	guess := !bigEndian
	var out []string
	for {
		end := len(b) &^ 1
		for i := 0; i+1 < len(b); i += 2 {
			if b[i] == 0 && b[i+1] == 0 {
				end = i
				break
			}
		}
		part := b[:end]
		if len(part) >= 2 && (part[0] == 0xFE && part[1] == 0xFF || part[0] == 0xFF && part[1] == 0xFE) {
			bigEndian, guess = part[0] == 0xFE, false
		}
		out = append(out, utf16Text(part, bigEndian, guess))
		if end+2 > len(b) {
			return out
		}
		b = b[end+2:]
	}
}
