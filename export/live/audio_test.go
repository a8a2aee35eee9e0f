package live

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"dubgauge/detect/advice"
	"dubgauge/detect/loudness"
	"dubgauge/detect/reason"
	"dubgauge/export/render"
	"dubgauge/library"
)

// samplesOf reads what a WAV answer of two channels holds, full scale being 1.
func samplesOf(t *testing.T, w *httptest.ResponseRecorder) [2][]float64 {
	t.Helper()
	if w.Code != 200 {
		t.Fatalf("%d: %s", w.Code, w.Body)
	}
	var x [2][]float64
	for b := w.Body.Bytes()[wavHeader:]; len(b) >= 6; b = b[6:] {
		for c := range x {
			p := b[3*c:]
			x[c] = append(x[c], float64(int32(uint32(p[0])<<8|uint32(p[1])<<16|uint32(p[2])<<24)>>8)/(1<<23-1))
		}
	}
	return x
}

// hear asks for audio, or for what there is to hear.
func hear(s *Server, path string, id int64, query string) *httptest.ResponseRecorder {
	return ask(s, "GET", fmt.Sprintf("%s/%d", path, id), "", func(r *http.Request) { r.URL.RawQuery = query })
}

// dulled is a library of eight records and of a track that is held against them and lacks some
// of what lies above 4 kHz.
func dulled(t *testing.T) (*library.DB, sound) {
	t.Helper()
	dull := sound{path: "Dubs/dull edit.wav", rate: 48000, seconds: 8, top: -15}
	sounds := []sound{dull}
	for _, s := range bag() {
		if strings.HasPrefix(s.path, "Records/") {
			s.seconds = 8
			sounds = append(sounds, s)
		}
	}
	db, _ := scanned(t, sounds)
	var records []int64
	for _, s := range sounds[1:] {
		records = append(records, named(t, db, s.path).ID)
	}
	if _, err := db.SetMarks(t.Context(), records, func(library.Marks) library.Marks { return library.Marks{Reference: true} }); err != nil {
		t.Fatal(err)
	}
	return db, dull
}

// Any part of a track is its own samples, 6 dB down; a part that reaches over the end is cut
// there, and one that is longer than is sent at once, too.
func TestAnyPart(t *testing.T) {
	long := sound{path: "set edit.wav", rate: 8000, seconds: 100}
	db, _ := scanned(t, []sound{long})
	x := named(t, db, long.path)
	s := New(db, Options{})
	left, right := long.samples(0)
	gain := math.Pow(10, -baseHeadroom/20)
	for _, c := range []struct {
		query         string
		from, samples int
	}{
		{"from=70.5&len=3.25", 564000, 26000}, {"from=0&len=1", 0, 8000}, {"from=99.5&len=30", 796000, 4000}, {"from=10&len=1000", 80000, 40 * 8000}, {"from=20", 160000, 30 * 8000},
	} {
		got := samplesOf(t, hear(s, "/audio", x.ID, c.query))
		if len(got[0]) != c.samples {
			t.Errorf("%s: %d samples, want %d", c.query, len(got[0]), c.samples)
			continue
		}
		for i := 0; i < c.samples; i += 501 {
			for ch, all := range [2][]float64{left, right} {
				want := math.Round(all[c.from+i]*32767) / 32768 * gain
				if math.Abs(got[ch][i]-want) > 2e-7 { // 24 bits
					t.Fatalf("%s: channel %d, sample %d is %.7f, want %.7f", c.query, ch, i, got[ch][i], want)
				}
			}
		}
	}
	for _, query := range []string{"from=-1", "from=100", "from=NaN", "from=x", "len=0", "len=-3", "len=NaN", "from=Inf"} {
		if w := hear(s, "/audio", x.ID, query); w.Code != 400 {
			t.Errorf("%s: %d", query, w.Code)
		}
	}
}

// What is sent at once is bounded in bytes: 24 MiB of 24 bits in stereo are 10.9 s at 384 kHz,
// and 40 s at 96 kHz and below.
func TestPartsAreBounded(t *testing.T) {
	var x library.Track
	for _, c := range []struct {
		rate, channels int
		want           float64
	}{{44100, 2, 40}, {96000, 2, 40}, {384000, 2, 10.92}, {384000, 1, 21.85}, {384000, 8, 10.92}, {0, 0, 40}} {
		x.Measurement.File.SampleRateHz, x.Measurement.File.Channels = c.rate, c.channels
		if got := longest(&x); math.Abs(got-c.want) > 0.01 {
			t.Errorf("%d Hz, %d channels: %.2f s, want %.2f", c.rate, c.channels, got, c.want)
		}
	}
}

// With the moves is what a copy with the moves has (render.Filters, over the whole track), with
// room for what they add, and the change of its loudness is said.
func TestWithTheMoves(t *testing.T) {
	db, dull := dulled(t)
	x := named(t, db, dull.path)
	moves, err := New(db, Options{}).movesOf(t.Context(), &x)
	if err != nil || len(moves) == 0 || moves[len(moves)-1].DB < 3 {
		t.Fatalf("a top that is down has the moves %+v: this shows nothing", moves)
	}
	s := New(db, Options{})
	const from, rate = 3.0, 48000
	w := hear(s, "/audio", x.ID, fmt.Sprintf("from=%g&len=4&moves", from))
	got := samplesOf(t, w)
	plain := samplesOf(t, hear(s, "/audio", x.ID, fmt.Sprintf("from=%g&len=4", from)))
	left, right := dull.samples(0)
	up := 0.0
	for _, m := range moves {
		up += math.Max(0, float64(m.DB))
	}
	gain := math.Pow(10, -(baseHeadroom+math.Ceil(up))/20)
	var behind, before [2][]float32
	for c, all := range [2][]float64{left, right} {
		y := make([]float32, len(all))
		for i, v := range all {
			y[i] = float32(math.Round(v*32767) / 32768)
		}
		before[c] = append([]float32{}, y[from*rate:(from+4)*rate]...)
		for _, f := range render.Filters(moves, rate) {
			f.Run(y)
		}
		behind[c] = y[from*rate : (from+4)*rate]
		worst := 0.0
		for i, v := range behind[c] {
			worst = math.Max(worst, math.Abs(got[c][i]-float64(v)*gain))
		}
		if worst > 1e-5 { // -100 dB: what is left of the filters' beginning half a second before
			t.Errorf("channel %d is off by %g", c, worst)
		}
		if math.Abs(plain[c][100]-got[c][100]) < 1e-4 && math.Abs(plain[c][2000]-got[c][2000]) < 1e-4 {
			t.Error("the moves change nothing")
		}
	}
	said, err := strconv.ParseFloat(w.Header().Get(loudnessHeader), 64)
	loud := func(x [2][]float32) float64 {
		m := loudness.New(rate, loudness.Weights(2, 0))
		m.Write(x[:])
		return m.Result().Loudest30
	}
	if want := loud(behind) - loud(before); err != nil || math.Abs(said-want) > 0.01 || math.Abs(want) < 0.1 {
		t.Errorf("the moves change the loudness by %v LU, it is said %v (%v)", want, said, err)
	}
	if w := hear(s, "/audio", named(t, db, "Records/anchor.wav").ID, "moves"); w.Code != 404 || !strings.Contains(w.Body.String(), "no moves") {
		t.Errorf("a track without moves: %d %s", w.Code, w.Body)
	}
}

// Moves change nothing of silence.
func TestTheMovesOfSilence(t *testing.T) {
	m := newMoved([]advice.Move{{Filter: reason.Bell, Hz: 1000, DB: 6, Q: 1}}, 48000, 2)
	m.run([][]float32{make([]float32, 48000), make([]float32, 48000)}, 48000, 0)
	if d := m.change(); d != 0 {
		t.Errorf("they change its loudness by %v LU", d)
	}
}

// A file that is not the one that was measured is never played, however it differs; one that
// was only touched is.
func TestAChangedFileIsNotPlayed(t *testing.T) {
	was := sound{path: "Dubs/edit.wav", rate: 44100, seconds: 8, gain: -3}
	for _, c := range []struct {
		name   string
		change func(t *testing.T, path string)
		says   string // empty: it plays
	}{
		{"as it was", func(*testing.T, string) {}, ""},
		{"touched", func(t *testing.T, path string) {
			if err := os.Chtimes(path, time.Now(), time.Now().Add(-time.Hour)); err != nil {
				t.Fatal(err)
			}
		}, ""},
		{"longer", func(t *testing.T, path string) {
			rewrite(t, path, func(b []byte) []byte { return append(b, 0, 0) })
		}, "bytes, it had"},
		{"louder, of the same size", func(t *testing.T, path string) {
			rewrite(t, path, func(b []byte) []byte {
				for i := 1000; i < len(b); i++ {
					b[i] ^= 0x10
				}
				return b
			})
		}, "another content"},
		{"louder, of the same size and time", func(t *testing.T, path string) {
			fi, err := os.Stat(path)
			if err != nil {
				t.Fatal(err)
			}
			rewrite(t, path, func(b []byte) []byte { b[50000] ^= 0x10; return b })
			if err := os.Chtimes(path, fi.ModTime(), fi.ModTime()); err != nil {
				t.Fatal(err)
			}
		}, "another content"},
	} {
		t.Run(c.name, func(t *testing.T) {
			db, lib := scanned(t, []sound{was})
			x := named(t, db, was.path)
			s := New(db, Options{})
			c.change(t, filepath.Join(filepath.Dir(lib), "bag", filepath.FromSlash(was.path)))
			for range 2 { // the second time from what is remembered
				w := ask(s, "GET", fmt.Sprintf("/audio/%d", x.ID), "", nil)
				if c.says == "" && w.Code != 200 || c.says != "" && (w.Code != 409 || !strings.Contains(w.Body.String(), c.says) || !strings.Contains(w.Body.String(), "measured again")) {
					t.Errorf("%d: %.200s", w.Code, w.Body)
				}
			}
		})
	}
}

// A file that changes after it was played is noticed as well.
func TestAFileThatChangesInBetween(t *testing.T) {
	db, lib := scanned(t, []sound{{path: "edit.wav", rate: 44100, seconds: 4}})
	s := New(db, Options{})
	target := fmt.Sprintf("/audio/%d", named(t, db, "edit.wav").ID)
	if w := ask(s, "GET", target, "", nil); w.Code != 200 {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	rewrite(t, filepath.Join(filepath.Dir(lib), "bag", "edit.wav"), func(b []byte) []byte { b[50000] ^= 0x10; return b })
	if w := ask(s, "GET", target, "", nil); w.Code != 409 {
		t.Errorf("changed since it was played: %d", w.Code)
	}
}

func rewrite(t *testing.T, path string, change func([]byte) []byte) {
	t.Helper()
	b, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(path, change(b), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// The dock is told what it needs, by numbers of the record.
func TestWhatTheDockIsTold(t *testing.T) {
	db, dull := dulled(t)
	s := New(db, Options{})
	x := named(t, db, dull.path)
	w := hear(s, "/listen", x.ID, "")
	var got listening
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil {
		t.Fatalf("%d %s: %v", w.Code, w.Body, err)
	}
	if got.ID != x.ID || got.Seconds != 8 || got.LUFS != x.PlayedLUFS() || got.Channels != 2 || len(got.Beside) != 8 || len(got.Moves) == 0 ||
		got.MovesHead <= got.Headroom || len(got.Timeline) != len(x.Loudness.TimelineLUFS) || got.LongestS != 40 || got.Unplayable != "" ||
		!strings.HasPrefix(got.ScanAgain, `dubgauge scan "`+x.Root) {
		t.Errorf("%+v", got)
	}
	if w := hear(s, "/listen", 999, ""); w.Code != 404 {
		t.Errorf("a track that is not there: %d", w.Code)
	}
}

// baseHeadroom in dB is what page.Headroom says of all that does not pass full scale by more.
const baseHeadroom = 6.0
