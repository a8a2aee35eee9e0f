package decode

import (
	"bytes"
	"io"

	"dubgauge/decode/stream"
)

// refused are contents that are no music or none that can be measured, by their
// marks at the head of the file. The strange ones hold no sound at all: what lies
// under the name of a music file is another file, and no conversion helps.
var refused = []struct {
	offset      int
	mark, title string
	strange     bool
}{
	{0, "DSD ", "DSD audio (DSF): convert it to PCM first", false},
	{0, "FRM8", "DSD audio (DSDIFF): convert it to PCM first", false},
	{0, "MThd", "MIDI, which holds notes and no sound", false},
	{8, "RMID", "MIDI, which holds notes and no sound", false},
	{0, "OFR ", "OptimFROG", false},
	{8, "AVI ", "AVI video", false},
	{8, "WEBP", "a WebP picture, no music", true},
	{0, "\x00\x05\x16\x07", "data that macOS keeps beside a file (AppleDouble), no music", true},
	{0, "PK\x03\x04", "a ZIP archive: unpack it first", false},
	{0, "Rar!\x1a\x07", "a RAR archive: unpack it first", false},
	{0, "7z\xbc\xaf\x27\x1c", "a 7z archive: unpack it first", false},
	{0, "\x1f\x8b", "gzip data: unpack it first", false},
	{0, "%PDF", "a PDF document, no music", true},
	{0, "\xff\xd8\xff", "a JPEG picture, no music", true},
	{0, "\x89PNG\r\n\x1a\n", "a PNG picture, no music", true},
	{0, "GIF8", "a GIF picture, no music", true},
}

// known looks head up among the refused; nil when it is not there.
func known(head []byte) error {
	for _, r := range refused {
		if len(head) > r.offset && bytes.HasPrefix(head[r.offset:], []byte(r.mark)) {
			kind := Unsupported
			if r.strange {
				kind = Damaged
			}
			return stream.Errorf(kind, "%s", r.title).AtOffset(int64(r.offset))
		}
	}
	text := bytes.ToLower(bytes.TrimLeft(head[:min(len(head), 512)], " \t\r\n\ufeff"))
	if bytes.HasPrefix(text, []byte("<!doctype")) || bytes.HasPrefix(text, []byte("<html")) {
		return stream.Errorf(Damaged, "a web page, no music: the download went wrong").AtOffset(0)
	}
	return nil
}

// refusal is the error for content that no reader takes, from byte start of src on.
func refusal(src *io.SectionReader, start int64) error {
	head, err := readHead(io.NewSectionReader(src, start, src.Size()-start))
	if err != nil {
		return err
	}
	if bytes.HasPrefix(head, []byte("ID3")) {
		return stream.Errorf(Truncated, "the file ends inside its ID3v2 tag").AtOffset(0)
	}
	if len(bytes.Trim(head, "\x00")) == 0 && start > 0 {
		return stream.Errorf(Damaged, "behind its tag the file goes on with %d zero bytes: the music was never written", len(head)).AtOffset(start)
	}
	if len(bytes.Trim(head, "\x00")) == 0 {
		return stream.Errorf(Damaged, "the file begins with %d zero bytes: it was never written in full", len(head)).AtOffset(0)
	}
	return stream.Errorf(Unsupported, "no audio format that is known here")
}
