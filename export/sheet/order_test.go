package sheet

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/detect"
	"dubgauge/export/madeup"
	"dubgauge/export/running"
	"dubgauge/library"
)

// friday is a set of three tracks, the second of which is not in the library.
func friday(t *testing.T) *running.Order {
	t.Helper()
	quiet, loud := madeup.Track(1, "Dubs/=quiet.wav", -10), madeup.Track(2, "loud.flac", -5)
	for _, x := range []*library.Track{&quiet, &loud} {
		x.LowEnd.SubDB, x.LowEnd.BassDB = -3, 0
		x.Measurement.Tempo.BPM, x.Measurement.Tempo.Confidence = 125, 0.9
		x.Measurement.Key = &detect.Key{Name: "A minor", Confidence: 0.9}
	}
	loud.LowEnd.SubDB, loud.Measurement.Tempo.BPM = -1, 130
	loud.Measurement.Key = &detect.Key{Name: "C major", Confidence: 0.9}
	l := library.Playlist{Entries: []library.PlaylistEntry{{Path: "Dubs/=quiet.wav"}, {Path: "-gone.wav", Title: "=T", Artist: "@A"}, {Path: "loud.flac"}}}
	r, err := running.New(context.Background(), l, []*library.Track{&quiet, &loud}, running.Options{Dir: "/music"})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestOrderCSV: the columns of the trim sheet, then those of the order, a row a place.
func TestOrderCSV(t *testing.T) {
	var b bytes.Buffer
	if err := OrderCSV(&b, friday(t)); err != nil {
		t.Fatal(err)
	}
	rows := readCSV(t, b.Bytes())
	if len(rows) != 4 || strings.Join(rows[0], ",") != strings.Join(trimHeader, ",")+",place,set_trim_db,level_step_lu,sub_step_db,bass_step_db,tempo_step_percent,key_step,flags,found" {
		t.Fatalf("%d rows, header %v", len(rows), rows[0])
	}
	n := len(trimHeader)
	// Single trims are +3 and -2 (madeup.Track), which leave no step; 130 BPM is 4 % over 125;
	// sub rises by 2 dB; A minor and C major share their notes. The flags are those of a set
	// with few steps: what is audible, as package setlist says.
	want := [][]string{
		{"1", "3.0", "", "", "", "", "", "", ""},
		{"2", "", "", "", "", "", "", "", "Not in the library"},
		{"3", "-2.0", "0.0", "2.0", "0.0", "4.00", "relative", "level step; tempo step; sub step", ""},
	}
	for i, row := range rows[1:] {
		if d := cmp.Diff(want[i], row[n:]); d != "" {
			t.Errorf("row %d (-want +got):\n%s", i+1, d)
		}
	}
	if rows[1][0] != "Dubs/=quiet.wav" || rows[1][15] != "3.0" || rows[2][0] != "'-gone.wav" || rows[2][1] != "'=T" || rows[2][2] != "'@A" || rows[2][4] != "" {
		t.Errorf("%q\n%q", rows[1], rows[2])
	}
	if !Ours(b.Bytes()) {
		t.Error("an ordered sheet is not known as ours")
	}
}

// TestOrderSheetIsAPlaylist: the ordered sheet is read as a list of the same tracks.
func TestOrderSheetIsAPlaylist(t *testing.T) {
	var b bytes.Buffer
	if err := OrderCSV(&b, friday(t)); err != nil {
		t.Fatal(err)
	}
	l, err := library.ReadPlaylist(context.Background(), &b, "sheet.csv")
	if err != nil || len(l.Entries) != 3 {
		t.Fatal(l, err)
	}
	for i, want := range []string{"/music/Dubs/=quiet.wav", "-gone.wav", "/music/loud.flac"} {
		if l.Entries[i].Path != want {
			t.Errorf("%q, not %q", l.Entries[i].Path, want)
		}
	}
}

// TestList: M3U8 and XSPF with a mark of ours and paths from where they lie.
func TestList(t *testing.T) {
	a, b := madeup.Track(1, "x/a.wav", -7), madeup.Track(2, "b.wav", -7)
	a.Tags.Title, a.Tags.Artist, a.Measurement.File.DurationS = "T\u202e", "A", 61.4
	b.Root = "/other"
	these := []*library.Track{&a, &b}
	for f, want := range map[library.PlaylistFormat]string{
		library.M3U:  "#EXTM3U\n# written by dubgauge\n#PLAYLIST:ready\n#EXTINF:61,A - T\nx/a.wav\n/other/b.wav\n",
		library.XSPF: "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- written by dubgauge -->\n<playlist",
	} {
		var out bytes.Buffer
		if err := List(&out, f, "ready", these, "/music"); err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(out.String(), want) || !Ours(out.Bytes()) {
			t.Errorf("%s: ours %v\n%s", f, Ours(out.Bytes()), out.String())
		}
		l, err := library.ReadPlaylist(context.Background(), &out, "x")
		if err != nil || fmt.Sprint(l.Entries[0].Path, l.Entries[1].Path) != "x/a.wav/other/b.wav" || l.Title != "ready" {
			t.Error(l, err)
		}
	}
}

// TestOursLists: lists of others are not ours.
func TestOursLists(t *testing.T) {
	for _, head := range []string{"#EXTM3U\n", "#EXTM3U\nwritten by dubgauge\n", "# written by dubgauge\n", "#EXTM3U\n# written by dubgauge 2\n",
		"<?xml version=\"1.0\"?>\n<playlist>", "<?xml version=\"1.0\"?>\n# written by dubgauge\n", "\n# written by dubgauge\n", "#EXTM3U\n\n# written by dubgauge\n"} {
		if Ours([]byte(head)) {
			t.Errorf("%q is ours", head)
		}
	}
}
