package transfer

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"dubgauge/detect/reason"
	"dubgauge/detect/tempo"
)

// tableSeconds is how much of a piece is taken.
const tableSeconds = 180

// row is a set of faults planted together; each has its own detector.
type row struct {
	name                string
	hum, hiss, rumble   float64 // dBFS RMS
	clicks, low, high   float64 // a minute; dBFS peak
	base, swing, turnHz float64
}

var tableRows = []row{
	{name: "strong", hum: -45, hiss: -50, rumble: -35, clicks: 200, low: -24, high: -6, base: 60},
	{name: "middle", hum: -50, hiss: -56, rumble: -42, clicks: 60, low: -30, high: -6, base: 50},
	{name: "weak", hum: -57, hiss: -63, rumble: -48, clicks: 20, low: -30, high: -6, base: 50},
	{name: "wow 0.3 % at 33 rpm", swing: 0.3, turnHz: 100.0 / 180},
	{name: "wow 0.6 % at 33 rpm", swing: 0.6, turnHz: 100.0 / 180},
	{name: "wow 0.5 % at 1.7 Hz", swing: 0.5, turnHz: 1.7},
}

// audible tells which of a row's faults the piece itself leaves to be heard: hum and
// rumble by the quietest tenth of the clean piece's frames, hiss by the quietest 5 % of
// its moments. In dB, what the fault has over the piece there.
func audible(clean *Meter, r row) (hum, hiss, rumble float64) {
	var lines, side, top []float64
	for _, f := range clean.low.frames {
		n := f.lines[0][0]
		if r.base == 60 {
			n = f.lines[1][0]
		}
		lines = append(lines, decibels(n.power))
		side = append(side, decibels(f.side))
	}
	for _, m := range clean.hiss.moments {
		top = append(top, float64(m.level))
	}
	return r.hum - share(lines, 0.1), r.hiss - share(top, 0.05), r.rumble - share(side, 0.5)
}

// TestTable plants each fault in real pieces, mastered to about -8 LUFS, and prints
// what is found; it fails on false alarms of the plain kinds above 1 %. Half of the
// pieces in a folder were used for fitting: the README of the figures says which.
func TestTable(t *testing.T) {
	dir := os.Getenv("DUBGAUGE_CHECKS")
	if dir == "" || os.Getenv("DUBGAUGE_TRANSFER") == "" {
		t.Skip("DUBGAUGE_TRANSFER and DUBGAUGE_CHECKS (the folder of check files) are needed for the table")
	}
	files, _ := filepath.Glob(filepath.Join(dir, "music", "*.*"))
	count := map[string][2]int{}
	tell := func(what string, found bool) {
		c := count[what]
		c[1]++
		if found {
			c[0]++
		}
		count[what] = c
	}
	for i, path := range files {
		if ext := filepath.Ext(path); ext != ".mp3" && ext != ".flac" && ext != ".wav" {
			continue
		}
		x := readPiece(t, path)
		if len(x[0]) < 60*plantRate {
			continue
		}
		unmastered := listen(x)
		report(t, tell, path, "as it is", unmastered.Result(beatOf(x)))
		master(x)
		clean := listen(x)
		before := clean.Result(beatOf(x))
		report(t, tell, path, "clean", before)
		for k, r := range tableRows {
			rng := rand.New(rand.NewPCG(uint64(i), uint64(k)))
			y := [][]float32{slices.Clone(x[0]), slices.Clone(x[1])}
			r.plant(&y, rng)
			if r.name == "middle" {
				r.count(tell, clean, listenMP3(t, y, 256), beatOf(y), ", MP3 256")
			}
			r.count(tell, clean, listen(y), beatOf(y), "")
		}
	}
	var names []string
	for n := range count {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		c := count[n]
		t.Logf("%-60s %3d of %3d, %3.0f %%", n, c[0], c[1], 100*float64(c[0])/float64(c[1]))
	}
}

func (r row) plant(x *[][]float32, rng *rand.Rand) {
	if r.swing > 0 {
		*x = plantWow(*x, r.swing, r.turnHz)
		return
	}
	plantHum(*x, r.base, r.hum, rng)
	plantHiss(*x, r.hiss, rng)
	plantRumble(*x, r.rumble, rng)
	plantClicks(*x, r.clicks, r.low, r.high, rng)
}

// count tells what was found of a row, all pieces and those in which it is audible.
func (r row) count(tell func(string, bool), clean, m *Meter, b Beat, how string) {
	found := m.Result(b)
	if r.swing > 0 {
		tell(r.name+how, has(found, reason.Wow, reason.WowSlight))
		return
	}
	hum, hiss, rumble := audible(clean, r)
	for _, f := range []struct {
		name string
		over float64
		yes  bool
	}{
		{fmt.Sprintf("hum %.0f", r.hum), hum, has(found, reason.Hum, reason.HumFaint)},
		{fmt.Sprintf("hiss %.0f", r.hiss), hiss, has(found, reason.Hiss, reason.HissFaint)},
		{fmt.Sprintf("rumble %.0f", r.rumble), rumble, has(found, reason.Rumble, reason.RumbleFaint)},
		{fmt.Sprintf("clicks %.0f a minute", r.clicks), 99, has(found, reason.Clicks, reason.ClicksFew)},
	} {
		tell(f.name+how+", all", f.yes)
		if f.over >= 0 && f.over < 99 {
			tell(f.name+how+", over the quietest parts", f.yes)
		}
	}
}

func has(found []Finding, kinds ...reason.Kind) bool {
	return slices.ContainsFunc(found, func(f Finding) bool { return slices.Contains(kinds, f.Kind) })
}

// report counts the false alarms of a clean piece.
func report(t *testing.T, tell func(string, bool), path, how string, found []Finding) {
	for _, k := range [][2]reason.Kind{{reason.Clicks, reason.ClicksFew}, {reason.Hum, reason.HumFaint}, {reason.Rumble, reason.RumbleFaint}, {reason.Hiss, reason.HissFaint}, {reason.Wow, reason.WowSlight}} {
		tell("false "+string(k[0])+" ("+how+")", has(found, k[0]))
		tell("false "+string(k[1])+" ("+how+")", has(found, k[1]))
	}
	for _, f := range found {
		t.Logf("%s %s: %+v", filepath.Base(path), how, f)
	}
}

func beatOf(x [][]float32) Beat {
	m := tempo.New(plantRate, 2)
	m.Write(x)
	r := m.Result()
	return Beat{r.BPM, r.Confidence}
}

// readPiece decodes a piece to stereo at plantRate through ffmpeg.
func readPiece(t *testing.T, path string) [][]float32 {
	t.Helper()
	return samples(t, "-t", fmt.Sprint(tableSeconds), "-i", path)
}

func samples(t *testing.T, args ...string) [][]float32 {
	t.Helper()
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		t.Skip("ffmpeg is not installed; it reads the pieces here")
	}
	b, err := exec.Command(ffmpeg, append(append([]string{"-nostdin", "-loglevel", "error"}, args...), "-f", "s16le", "-ac", "2", "-ar", fmt.Sprint(plantRate), "-")...).Output()
	if err != nil {
		t.Fatal(args, err)
	}
	return fromBytes(b)
}

// listenMP3 measures x after it was an MP3 of the given bit rate in kbit/s.
func listenMP3(t *testing.T, x [][]float32, kbps int) *Meter {
	t.Helper()
	dir := t.TempDir()
	raw, mp3 := filepath.Join(dir, "x.raw"), filepath.Join(dir, "x.mp3")
	if err := os.WriteFile(raw, toBytes(x), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("ffmpeg", "-nostdin", "-loglevel", "error", "-f", "s16le", "-ac", "2", "-ar", fmt.Sprint(plantRate), "-i", raw, "-b:a", fmt.Sprintf("%dk", kbps), mp3).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return listen(samples(t, "-i", mp3))
}
