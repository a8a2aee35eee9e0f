package tags

import (
	"bytes"
	"io"
	"slices"
	"strings"
	"testing"
)

// asfItem is one entry of an extended content description.
func asfItem(name string, kind int, value ...any) []byte {
	text := bytes.TrimPrefix(utf16Bytes(name+"\x00", little), []byte{0xFF, 0xFE})
	v := join(value...)
	return join(le32(len(text))[:2], text, le32(kind)[:2], le32(len(v))[:2], v)
}

// asfFile is a header object with an extended content description.
func asfFile(items ...[]byte) []byte {
	body := join(le32(len(items))[:2], bytes.Join(items, nil))
	object := join(asfExtended, le32(24+len(body)), le32(0), body)
	return join(asfHeader, le32(30+len(object)), le32(0), le32(1), 1, 2, object)
}

func sourcesOf(t *testing.T, b []byte) []Source {
	t.Helper()
	s := source{io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), int64(len(b))}
	var all collection
	if err := s.read(&all, ""); err != nil {
		t.Fatal(err)
	}
	return all.sources()
}

// TestSources holds that each tag of a file is given on its own, in the order in which
// Read takes the fields from them.
func TestSources(t *testing.T) {
	file := join(id3(3, 0, frame(3, "TIT2", 0, 0, "Title"), frame(3, "TPUB", 0, 0, "Label")), audio,
		ape(true, apeItem("Year", 0, "2019"), apeItem("Title", 0, "Other title")),
		v1("Title", "Artist", "", "2020", "", 0, 255))
	all := sourcesOf(t, file)
	want := []Source{
		{Form: "ID3v2", Title: "Title", Label: "Label"},
		{Form: "APEv2", Title: "Other title", Year: 2019},
		{Form: "ID3v1", Title: "Title", Artist: "Artist", Year: 2020},
	}
	if !slices.Equal(all, want) {
		t.Errorf("got %+v", all)
	}
	merged, err := readBytes(file)
	if err != nil || !equal(merged, Tags{Title: "Title", Label: "Label", Year: 2019, Artist: "Artist"}) || !slices.Equal(merged.Sources, want) {
		t.Errorf("merged: %+v, %v", merged, err)
	}
	two := join(id3(3, 0, frame(3, "TIT2", 0, 0, "Title")), audio, v1("Title", "", "", "", "", 0, 255))
	if merged, err := readBytes(two); err != nil || len(merged.Sources) != 2 {
		t.Errorf("of two tags: %+v, %v", merged.Sources, err)
	}
	if merged, err := readBytes(id3(3, 0, frame(3, "TIT2", 0, 0, "Title"))); err != nil || merged.Sources != nil {
		t.Errorf("of one tag: %+v, %v", merged.Sources, err)
	}
	conflicts := Conflicts(all)
	if !slices.Equal(conflicts, []Conflict{
		{"title", "ID3v2", "APEv2", "Title", "Other title"},
		{"title", "APEv2", "ID3v1", "Other title", "Title"},
		{"year", "APEv2", "ID3v1", "2019", "2020"},
	}) {
		t.Errorf("conflicts %+v", conflicts)
	}
}

// TestSourceNames names the tags of each container, the best first.
func TestSourceNames(t *testing.T) {
	tag := id3(3, 0, frame(3, "TIT2", 0, 0, "Title"))
	info := chunk(little, "LIST", "INFO", chunk(little, "INAM", "Title"))
	for _, c := range []struct {
		want string
		file []byte
	}{
		{"ID3v2, LIST/INFO, bext", riffFile("RIFF", chunk(little, "bext", "Note", make([]byte, 600)), info, chunk(little, "id3 ", tag))},
		{"LIST/INFO, ID3v2", join(tag, riffFile("RIFF", info))},
		{"ID3v2, AIFF text", aiffFile(chunk(big, "NAME", "Title"), chunk(big, "ID3 ", tag))},
		{"MP4 item list", mp4File(mp4Item("\xa9nam", 1, "Title"))},
		{"ASF", asfFile(asfItem("WM/BeatsPerMinute", 3, le32(128)))},
		{"Vorbis comment, ID3v2", join(tag, flacFile(flacBlock(0, make([]byte, 34)), flacBlock(4|128, comments("TITLE=Title"))))},
		{"", audio},
	} {
		var names []string
		for _, s := range sourcesOf(t, c.file) {
			names = append(names, s.Form)
		}
		if got := strings.Join(names, ", "); got != c.want {
			t.Errorf("got %q, want %q", got, c.want)
		}
	}
}

// TestNoConflict lets pass what is the same in other words of the form.
func TestNoConflict(t *testing.T) {
	long := strings.Repeat("A long title ", 4)
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"One", "one", false}, {"One", "", false}, {"", "Two", false}, {"One", "Two", true}, {"One", "One two", true},
		{long, long[:30], false}, {long[:29], long, false}, {long[:30], strings.ToUpper(long), false},
		{long, long[:20], true}, {long, "B" + long[1:30], true}, {long, long[:40], true},
	} {
		if got := differ(c.a, c.b); got != c.want {
			t.Errorf("%q and %q: %v", c.a, c.b, got)
		}
	}
}
