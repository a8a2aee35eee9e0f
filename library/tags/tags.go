// Package tags reads the tags of a music file, whatever their form, and cleans
// them once at this border: what comes out is valid UTF-8 in NFC, of bounded
// length, without control characters.
//
// Read are: ID3v2.2, 2.3 and 2.4, ID3v1 (id3.org), APEv2, Vorbis comments (Xiph;
// in FLAC, Ogg Vorbis, Opus RFC 7845 and Ogg FLAC), the iTunes-style item list of
// MP4, ASF content descriptions, in WAV the ID3 chunk, LIST/INFO and bext (EBU Tech 3285), in AIFF
// the ID3 chunk and the text chunks. Pictures are passed over unread. Values that
// are repeated are joined: artists with ", ", others with "; ".
//
// Limits: an ID3v2 frame that is encrypted is passed over; Lyrics3 is not read.
package tags

import (
	"errors"
	"io"
)

// Tags are what the file says of itself. A field that is missing is empty; a
// tag is a claim, never a measurement.
type Tags struct {
	Title           string   `json:"title"`
	Artist          string   `json:"artist"`
	Album           string   `json:"album"`
	Label           string   `json:"label"`
	CatalogueNumber string   `json:"catalogue_number"`
	ISRC            string   `json:"isrc"` // twelve characters, without hyphens
	Year            int      `json:"year"` // 1900 to 2099, 0 when missing
	Genre           string   `json:"genre"`
	Comment         string   `json:"comment"`
	BPM             *float64 `json:"bpm"` // nil when missing
	Key             string   `json:"key"` // as written
	// Sources are the tags that the fields above were taken from, the best first, where
	// the file has more than one.
	Sources []Source `json:"sources,omitempty"`
}

// Read reads the tags of src. format is the container as decode names it, such as
// "mp3"; it serves where the content itself does not tell. An error, an
// *decode.Error when the content is to blame, never means that there are no tags:
// what could be read comes with it.
func Read(src *io.SectionReader, format string) (Tags, error) {
	s := source{src, src.Size()}
	var all collection
	err := s.read(&all, format)
	t := all.merge()
	if len(all) > 1 {
		t.Sources = all.sources()
	}
	return t, err
}

// read collects from every place of the file, the best first.
func (s source) read(all *collection, format string) error {
	var front fields // ID3v2 in front of whatever the file is
	start, frontErr := s.id3v2At(0, &front)
	var own fields
	name := ""
	var err error
	switch s.sniff(start, format) {
	case "wav":
		err = s.riff(start, all)
	case "aiff":
		err = s.aiff(start, all)
	case "flac":
		name, err = "Vorbis comment", s.flac(start, &own)
	case "ogg":
		name, err = "Vorbis comment", s.ogg(start, &own)
	case "m4a":
		name, err = "MP4 item list", s.mp4(start, &own)
	case "wma":
		name, err = "ASF", s.asf(start, &own)
	}
	all.put(name, &own)
	all.put("ID3v2", &front)
	return errors.Join(err, frontErr, s.tail(all))
}

// sniff names the container at off, format when it is none that is known here.
func (s source) sniff(off int64, format string) string {
	b, err := s.bytes(off, 12)
	if err != nil {
		return format
	}
	four, type4 := string(b[:4]), string(b[8:])
	switch {
	case (four == "RIFF" || four == "RIFX" || four == "RF64" || four == "BW64") && type4 == "WAVE":
		return "wav"
	case four == "FORM" && (type4 == "AIFF" || type4 == "AIFC"):
		return "aiff"
	case four == "fLaC":
		return "flac"
	case four == "OggS":
		return "ogg"
	case string(b[4:8]) == "ftyp":
		return "m4a"
	case four == asfHeader[:4]:
		return "wma"
	}
	return format
}
