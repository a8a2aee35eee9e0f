package external

import (
	"bytes"
	"strings"
	"testing"
	"unicode"

	"dubgauge/decode/stream"
)

// FuzzReport holds that nothing in a program's output gets past the border that
// could harm a terminal, and that the number of faults stays bounded.
func FuzzReport(f *testing.F) {
	f.Add([]byte("[info] Input #0, mov, from 'file:/x':\n[info]   Duration: 00:00:05.00, start: 0.000000, bitrate: 131 kb/s\n" +
		"[info]   Stream #0:0[0x1](und): Audio: alac (alac / 0x63616C61), 44100 Hz, stereo, s32p (24 bit), 127 kb/s (default)\n[info] Stream mapping:\n"))
	f.Add([]byte("[mov @ 0x55961206a9c0] [error] moov atom not found\n[error] file:/x: Invalid data\x1b[2J\r\n[fatal] \xff\xfe\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r := newReport("file:/x")
		for chunk := range bytes.SplitAfterSeq(b, []byte{7}) {
			r.Write(chunk)
		}
		list := r.list()
		if len(list) > 100 || len(r.line) > mostLine {
			t.Fatalf("%d faults, a line of %d bytes", len(list), len(r.line))
		}
		for _, e := range list {
			if strings.ContainsFunc(e.Detail, func(c rune) bool { return !unicode.IsPrint(c) }) || len(e.Detail) > 1000 {
				t.Fatalf("%q", e.Detail)
			}
		}
	})
}

// TestReport reads what ffmpeg says of an input.
func TestReport(t *testing.T) {
	r := newReport("file:/music/a.m4a")
	r.Write([]byte("[info] Input #0, mov,mp4, from 'file:/music/a.m4a':\n[info]   Duration: 00:01:05.50, start: 0.000000, bitrate: 131 kb/s\n" +
		"[info]   Stream #0:0[0x1](und): Audio: alac (alac / 0x63616C61), 44100 Hz, stereo, s32p (24 bit), 800 kb/s (default)\n" +
		"[info]   Stream #0:1[0x0]: Video: mjpeg (Baseline), yuvj444p (attached pic)\n[info] Stream mapping:\n" +
		"[info]   Stream #0:0: Audio: pcm_f32le\n[alac @ 0x5596] [error] invalid element\n[error] file:/music/a.m4a: Invalid data\x1b[2J found\n"))
	if r.codec != "alac" || r.depth != 24 || r.kbps != 800 || r.duration != 65.5 || r.streams != 1 {
		t.Errorf("%+v", r)
	}
	if got := r.complaint(); got != "invalid element; Invalid data[2J found" {
		t.Errorf("%q", got)
	}
	select {
	case <-r.started:
	default:
		t.Error("the description did not end")
	}
}

// TestPictureTrouble lets pass what ffmpeg says of a cover picture, and nothing else.
func TestPictureTrouble(t *testing.T) {
	r := newReport("file:/music/a.m4a")
	r.Write([]byte("[mjpeg @ 0x5596] [error] No JPEG data found in image\n[png @ 0x55a5] [error] Invalid PNG signature 0x89504e47\n" +
		"[ogg @ 0x7f] [error] Could not read mimetype from an attached picture.\n"))
	if list := r.list(); len(list) > 0 || r.complaint() != "" {
		t.Errorf("%v", list)
	}
	r.Write([]byte("[error] a\n[aac @ 0x5596] [error] b\n[mov,mp4 @ 0x1] [fatal] c\n[mjpeg @ 0x2] [aac @ 0x3] [error] d\n"))
	if list := r.list(); len(list) != 4 {
		t.Errorf("%v", list)
	}
}

// TestScrap lets pass what ffmpeg says of a remainder shorter than a frame, in two lines
// that follow each other; the second one alone is an error like any other.
func TestScrap(t *testing.T) {
	const scrap = "[pcm_s24le @ 0x1] [error] Invalid PCM packet, data has size 2 but at least a size of 6 was expected\n"
	const decoding = "[error] Error while decoding stream #0:0: Invalid data found when processing input\n"
	for _, c := range []struct {
		said string
		want int
	}{
		{scrap + decoding, 0}, {scrap, 0}, {decoding, 1}, {"[error] other\n" + decoding, 2}, {scrap + decoding + decoding, 1},
		{scrap + "[error] other\n" + decoding, 2}, {scrap + "[error] other\n", 1},
	} {
		r := newReport("file:/music/a.w64")
		r.Write([]byte(c.said))
		if got := r.list(); len(got) != c.want {
			t.Errorf("%q: %v, want %d faults", c.said, got, c.want)
		}
	}
}

// FuzzHeader holds that no header on the pipe makes us allocate or hang.
func FuzzHeader(f *testing.F) {
	f.Add([]byte("RIFF\xff\xff\xff\xffWAVEfmt \x28\x00\x00\x00\xfe\xff\x02\x00\x44\xac\x00\x00\x20\x62\x05\x00\x08\x00\x20\x00\x16\x00\x20\x00\x03\x00\x00\x00" +
		"\x03\x00\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71LIST\x02\x00\x00\x00abdata\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r := bytes.NewReader(b)
		info, err := readHeader(r)
		if err == nil && (info.Channels < 0 || info.SampleRate < 0 || len(b)-r.Len() < 20) {
			t.Fatalf("%+v from %q", info, b)
		}
	})
}

// FuzzFile holds that whatever the bytes, the looks into a file come to an end, with
// faults that lie inside it and a length that the file can hold.
func FuzzFile(f *testing.F) {
	page := append([]byte("OggS\x00\x02\x00\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x00\x01\x04"), "abcd"...)
	f.Add(append(page, page...))
	f.Add([]byte("\xff\xf1\x50\x80\x01\x1f\xfc\x00\xff\xf1\x50\x80\x01\x1f\xfc\x00"))
	f.Add([]byte("riff\x2e\x91\xcf\x11\xa5\xd6\x28\xdb\x04\xc1\x00\x00\x00\x01\x00\x00\x00\x00\x00\x00"))
	f.Add([]byte("\x00\x00\x00\x28moov\x00\x00\x00\x20trak\x00\x00\x00\x18elst\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x03\xf0\x00\x00\x04\x00"))
	f.Add([]byte("\x00\x00\x00\x30meta\x00\x00\x00\x00\x00\x00\x00\x24----\x00\x00\x00\x14name\x00\x00\x00\x00iTunSMPB\x00\x00\x00\x08data"))
	f.Fuzz(func(t *testing.T, b []byte) {
		src, size := bytes.NewReader(b), int64(len(b))
		for _, list := range [][]stream.Error{checkOgg(src, size, 48000), checkADTS(src, size), checkW64(src, size)} {
			for _, e := range list {
				if e.Offset > size || e.Kind == 0 || e.At != e.At {
					t.Fatalf("%v in a file of %d bytes", e, size)
				}
			}
		}
		m := mp4{src: src}
		m.walk(0, size, 0)
		if n := m.length(); n == 0 || n < -1 || n > m.sound.duration && n != -1 {
			t.Fatalf("a length of %d: %+v", n, m)
		}
	})
}
