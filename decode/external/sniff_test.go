package external

import "testing"

// TestSniff knows a raw AAC stream by two heads at the distance that the first one
// states, and Ogg by what is in its first page.
func TestSniff(t *testing.T) {
	head := func(length int) []byte {
		return []byte{0xFF, 0xF1, 0x50, 0x80 | byte(length>>11), byte(length >> 3), byte(length<<5) | 0x1F, 0xFC}
	}
	page := func(packet string) []byte {
		return append(make([]byte, 0, 60), "OggS\x00\x02"+string(make([]byte, 22))+packet...)
	}
	for _, c := range []struct {
		name string
		head []byte
		want string // of the container, "" for none
	}{
		{"two frames", join(head(300), make([]byte, 293), head(200)), "aac"},
		{"two frames with CRC and of layer 0", join([]byte{0xFF, 0xF0}, head(300)[2:], make([]byte, 293), []byte{0xFF, 0xF8}, head(200)[2:]), "aac"},
		{"long frames", join(head(2000), make([]byte, 1993), head(1900)), "aac"},
		{"one frame", join(head(300), make([]byte, 400)), ""},
		{"a frame shorter than its head", join(head(6), head(200)), ""},
		{"a second frame that is", join(head(300), make([]byte, 293), head(6)), ""},
		{"frames of a head alone", join(head(7), head(7)), "aac"},
		{"the second at another distance", join(head(300), make([]byte, 292), head(200)), ""},
		{"a head that is cut", join(head(300), make([]byte, 293), head(200)[:6]), ""},
		{"MP3", join([]byte{0xFF, 0xFB}, head(300)[2:], make([]byte, 293), []byte{0xFF, 0xFB}, head(200)[2:]), ""},
		{"Opus", page("OpusHead"), "opus"}, {"Vorbis", page("\x01vorbis"), "ogg"}, {"Ogg with something else", page("\x80theora"), "ogg"},
		{"an M4A", []byte("\x00\x00\x00\x20ftypM4A "), "m4a"}, {"a film", []byte("\x00\x00\x00\x20ftypM4V "), "mp4"}, {"any MP4", []byte("\x00\x00\x00\x20ftypisom"), "m4a"},
		{"cut in its mark", []byte("\x00\x00\x00\x20fty"), ""},
		{"nothing", nil, ""},
	} {
		got, ok := Sniff(c.head)
		if got.Name != c.want || ok != (c.want != "") {
			t.Errorf("%s: %q, want %q", c.name, got.Name, c.want)
		}
	}
}
