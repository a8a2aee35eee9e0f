package render

import (
	"bytes"
	"encoding/binary"
	"io"
	"strconv"

	"dubgauge/library"
)

// tag is a field of a track's tags under the names of the three forms: Vorbis comments,
// frames of ID3v2.4 (id3.org; TXXX has the name of the comment in it) and chunks of
// LIST/INFO (RIFF, Multimedia Programming Interface 1.0; "" has none).
type tag struct{ comment, frame, chunk, value string }

// tagsOf lists what the track says of itself.
func tagsOf(t *library.Track) []tag {
	g := &t.Tags
	year, bpm := "", ""
	if g.Year > 0 {
		year = strconv.Itoa(g.Year)
	}
	if g.BPM != nil {
		bpm = strconv.FormatFloat(*g.BPM, 'f', -1, 64)
	}
	var out []tag
	for _, t := range []tag{
		{"TITLE", "TIT2", "INAM", g.Title}, {"ARTIST", "TPE1", "IART", g.Artist}, {"ALBUM", "TALB", "IPRD", g.Album},
		{"LABEL", "TPUB", "IPUB", g.Label}, {"CATALOGNUMBER", "TXXX", "", g.CatalogueNumber}, {"ISRC", "TSRC", "ISRC", g.ISRC},
		{"DATE", "TDRC", "ICRD", year}, {"GENRE", "TCON", "IGNR", g.Genre}, {"COMMENT", "COMM", "ICMT", g.Comment},
		{"BPM", "TBPM", "IBPM", bpm}, {"KEY", "TKEY", "", g.Key},
	} {
		if t.value != "" {
			out = append(out, t)
		}
	}
	return out
}

// comments are the tags as Vorbis comments.
func comments(t *library.Track) (out [][2]string) {
	for _, g := range tagsOf(t) {
		out = append(out, [2]string{g.comment, g.value})
	}
	return out
}

// id3 is a tag of ID3v2.4 with texts in UTF-8.
func id3(tags []tag) []byte {
	const utf8 = 3
	var frames []byte
	for _, g := range tags {
		body := []byte{utf8}
		switch g.frame {
		case "TXXX":
			body = append(append(body, g.comment...), 0)
		case "COMM":
			body = append(body, "und\x00"...) // no language, no description
		}
		body = append(body, g.value...)
		frames = append(append(frames, g.frame...), syncsafe(len(body))...)
		frames = append(append(frames, 0, 0), body...)
	}
	return bytes.Join([][]byte{{'I', 'D', '3', 4, 0, 0}, syncsafe(len(frames)), frames}, nil)
}

// syncsafe writes a size in four bytes of seven bits.
func syncsafe(n int) []byte {
	return []byte{byte(n>>21) & 0x7f, byte(n>>14) & 0x7f, byte(n>>7) & 0x7f, byte(n) & 0x7f}
}

// info is a LIST/INFO chunk's content; texts end in a zero.
func info(tags []tag) []byte {
	b := []byte("INFO")
	for _, g := range tags {
		if g.chunk != "" {
			b = append(b, chunk(g.chunk, append([]byte(g.value), 0))...)
		}
	}
	return b
}

// chunk is a chunk of RIFF: a name, a size, a body padded to an even length.
func chunk(name string, body []byte) []byte {
	c := append(binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body))), body...)
	if len(body)%2 == 1 {
		c = append(c, 0)
	}
	return c
}

// appendTags adds the tags to a finished WAV file, as LIST/INFO and as ID3, and corrects
// its size. Without tags it pads the sound to an even length.
func appendTags(w io.WriteSeeker, t *library.Track) error {
	end, err := w.Seek(0, io.SeekEnd)
	if err != nil {
		return err
	}
	var more []byte
	if end%2 == 1 {
		more = append(more, 0)
	}
	if tags := tagsOf(t); len(tags) > 0 {
		more = append(append(more, chunk("LIST", info(tags))...), chunk("id3 ", id3(tags))...)
	}
	if _, err := w.Write(more); err != nil {
		return err
	}
	if _, err := w.Seek(4, io.SeekStart); err != nil {
		return err
	}
	const before = 8 // the name of the file's chunk and its size
	_, err = w.Write(binary.LittleEndian.AppendUint32(nil, uint32(end)+uint32(len(more))-before))
	return err
}
