package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/decode"
	"dubgauge/detect/continuity"
	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
	"dubgauge/detect/transfer"
)

// transferred are the beginnings of the names of what package transfer is to find,
// and DC.
var transferred = []string{"vinyl", "hum", "rumble", "hiss", "wow", "DC"}

// codesOfTransfer are the reason codes that count here.
var codesOfTransfer = []string{"clicks", "click", "hum", "noise", "wow", "dc offset"}

// transferTable counts by row.
type transferTable struct {
	mu    sync.Mutex
	rows  map[string]*transferRow
	names []string
	only  string
	kept  kept
}

type transferRow struct{ n, noted, checked, heard, heardNoted, heardChecked, told, toldNoted int }

// tell counts one track of a row; heard says that the fault can be heard in it, told that
// one can know it for a fault.
func (t *transferTable) tell(row string, noted, checked, heard, told bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	r := t.rows[row]
	if r == nil {
		r = new(transferRow)
		t.rows[row] = r
		t.names = append(t.names, row)
	}
	r.n++
	for _, c := range []struct {
		yes   bool
		count *int
	}{
		{noted, &r.noted}, {checked, &r.checked}, {heard, &r.heard},
		{heard && noted, &r.heardNoted}, {heard && checked, &r.heardChecked},
		{heard && told, &r.told}, {heard && told && noted, &r.toldNoted},
	} {
		if c.yes {
			*c.count++
		}
	}
}

// TestTransferTable prints what is found of the faults of a transfer and what is
// flagged in clean tracks, over songs, look-alikes and real pieces, by tempo, faults
// and transfer alone:
//
//	DUBGAUGE_TABLE      fit (even seeds and pieces) or show (odd ones)
//	DUBGAUGE_SEEDS=2    songs of each genre, of each half
//	DUBGAUGE_LOOKS=2    seeds of each look-alike, of each half
//	DUBGAUGE_KIND=tape  look-alikes of that name, and nothing else
//	DUBGAUGE_PIECES=8   every so manieth piece of DUBGAUGE_CHECKS and DUBGAUGE_MUSIC
//	DUBGAUGE_ONLY=hum   defects of that name; clean for none
//	DUBGAUGE_VERDICTS   folder that keeps the masters and their tempi
func TestTransferTable(t *testing.T) {
	half := os.Getenv("DUBGAUGE_TABLE")
	if half == "" {
		t.Skip("DUBGAUGE_TABLE=fit or show prints the table of what a transfer leaves")
	}
	m := material{seeds: 2 * number("DUBGAUGE_SEEDS", 2), pieces: breakPieces()}
	m.looks = 2 * number("DUBGAUGE_LOOKS", 2)
	table := &transferTable{rows: map[string]*transferRow{}, only: os.Getenv("DUBGAUGE_ONLY")}
	table.kept.dir = filepath.Join(os.Getenv("DUBGAUGE_VERDICTS"), "breaks")
	if os.Getenv("DUBGAUGE_VERDICTS") == "" {
		table.kept.dir = t.TempDir()
	}
	if err := os.MkdirAll(table.kept.dir, 0o755); err != nil {
		t.Fatal(err)
	}
	every, kind := max(1, number("DUBGAUGE_PIECES", 8)), os.Getenv("DUBGAUGE_KIND")
	jobs := make(chan Spec)
	var wg sync.WaitGroup
	for range 2 {
		wg.Go(func() {
			for s := range jobs {
				if err := table.song(t, m, s); err != nil && !errors.Is(err, errShort) {
					t.Error(err)
				}
			}
		})
	}
	for _, s := range m.songs() {
		if s.Half() == half && (s.Genre != openMusic || int(s.Seed)/2%every == 0) && (kind == "" || s.Look != "" && strings.Contains(s.Look, kind)) {
			jobs <- s
		}
	}
	close(jobs)
	wg.Wait()
	table.print(t)
}

func number(env string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(env)); err == nil && n >= 0 {
		return n
	}
	return otherwise
}

func (t *transferTable) print(tt *testing.T) {
	slices.Sort(t.names)
	for _, name := range t.names {
		r := t.rows[name]
		line := fmt.Sprintf("%-44s n %3d: named %3.0f %%, check %3.0f %%", name, r.n, rate(r.noted, r.n), rate(r.checked, r.n))
		if r.heard > 0 {
			line += fmt.Sprintf("; %s in %3d: named %3.0f %%, check %3.0f %%", limitWords(name), r.heard, rate(r.heardNoted, r.heard), rate(r.heardChecked, r.heard))
		}
		if r.told < r.heard {
			line += fmt.Sprintf("; not hidden among the music's own in %3d: named %3.0f %%", r.told, rate(r.toldNoted, r.told))
		}
		var percent float64
		if n, _ := fmt.Sscanf(name, "wow %g", &percent); n > 0 && !swingHeard(percent) {
			line += "; of a tone it is not heard"
		}
		tt.Log(line)
	}
}

// limitWords gives the words for the limit of a row.
func limitWords(row string) string {
	if strings.HasPrefix(row, "wow") {
		return "the beat keeps time for it"
	}
	return "heard"
}

func rate(part, whole int) float64 { return 100 * float64(part) / float64(max(1, whole)) }

// song counts a clean song and what is spoilt of it.
func (t *transferTable) song(tt *testing.T, m material, s Spec) error {
	x, where, err := t.kept.master(m, s)
	if err != nil {
		return err
	}
	kind := "songs"
	switch {
	case s.Look != "":
		kind = "look " + s.Look
	case s.Genre == openMusic:
		kind = "pieces"
	}
	own := t.reasons(x)
	t.alarms(tt, kind, s, own)
	if s.Look != "" {
		return nil
	}
	clean := double(x)
	for _, d := range studio.Defects() {
		if !strings.Contains(d.Name, t.only) || !slices.ContainsFunc(transferred, func(p string) bool { return strings.HasPrefix(d.Name, p) }) {
			continue
		}
		bad := s
		bad.Defect = d.Name
		a := d.Master(clean.Clone(), where)
		heard := heard(d.Name, clean, a) || tellsWow(d.Name, x, t.kept.grid(x))
		t.found(tt, kind, bad, own, t.reasons(single(a)), heard, heard && told(d.Name, clean, a))
	}
	return nil
}

// alarms counts what is said of a clean track.
func (t *transferTable) alarms(tt *testing.T, kind string, s Spec, found []faults.Fault) {
	worst := reason.Severity(-1)
	for _, f := range found {
		worst = max(worst, f.Kind.Severity())
		tt.Logf("clean %s: %s, %s", s, f.Kind, f.Detail)
	}
	names := []string{"clean " + kind}
	if s.Look != "" {
		names = append(names, "clean look-alikes, all")
	}
	for _, name := range names {
		t.tell(name, worst >= reason.Note, worst >= reason.Check, false, false)
	}
	for _, code := range codesOfTransfer {
		noted, checked := said(found, []string{code})
		name := "clean"
		if s.Look != "" {
			name = "clean look-alikes"
		}
		t.tell(name+": "+code, noted, checked, false, false)
	}
}

// said tells whether one of the codes is named, and whether one makes the verdict check.
func said(found []faults.Fault, codes []string) (noted, checked bool) {
	for _, f := range found {
		if slices.Contains(codes, f.Kind.Reason()) {
			noted = true
			checked = checked || f.Kind.Severity() >= reason.Check
		}
	}
	return noted, checked
}

// found counts a defect. What is said of the clean track too does not count, unless it
// is said more gravely.
func (t *transferTable) found(tt *testing.T, kind string, s Spec, own, found []faults.Fault, heard, told bool) {
	was, grave := said(own, rightCodes(s.Defect))
	noted, checked := said(found, rightCodes(s.Defect))
	checked = checked && !grave
	noted = noted && !was || checked
	t.tell(s.Defect+", "+kind, noted, checked, heard, told)
	t.tell(s.Defect+", all", noted, checked, heard, told)
	if heard && !noted {
		tt.Logf("missed %s", s)
	}
}

// tellsWow says that the clean track keeps time so well that a wow of the defect's depth
// would show, as far as the beat tells: the limit that its players set. Where they don't, and
// where a turn lasts some quarters of a bar, so that the swing is in each bar as its groove
// is, only held notes tell.
func tellsWow(name string, clean stereo, g continuity.Grid) bool {
	var percent float64
	if n, _ := fmt.Sscanf(name, "wow %g", &percent); n == 0 {
		return false
	}
	m := transfer.New(sound.Rate, 2)
	blocks(clean, m.Write)
	b := transfer.Beat{BPM: g.BPM, Confidence: g.Confidence}
	m.Result(b)
	groove := math.Abs(math.Remainder(recordTurns, g.BPM/60/16)) < recordNear
	return !groove && percent >= m.LeastWow(b)
}

const (
	// recordTurns is 33 1/3 a minute, in hertz, recordNear how near a rate is the same in a
	// track of two to four minutes.
	recordTurns, recordNear = 100.0 / 180, 0.007
)

// reasons measures a track and keeps what counts here.
func (t *transferTable) reasons(x stereo) []faults.Fault {
	beat := t.kept.grid(x)
	left := transfer.New(sound.Rate, 2)
	info := decode.Info{Format: "wav", Codec: "pcm_s24", SampleRate: sound.Rate, Channels: 2, BitDepth: 24, Frames: int64(len(x[0]))}
	fault := faults.New(info)
	blocks(x, func(b [][]float32) {
		fault.Write(b)
		left.Write(b)
	})
	var out []faults.Fault
	for _, f := range fault.Result().Faults {
		if f.Kind == reason.Click && left.Crackles() {
			f.Kind = reason.ClicksFew // as package detect does
		}
		if slices.Contains(codesOfTransfer, f.Kind.Reason()) {
			out = append(out, f)
		}
	}
	for _, f := range left.Result(transfer.Beat{BPM: beat.BPM, Confidence: beat.Confidence}) {
		out = append(out, faults.Fault{Kind: f.Kind, Detail: f.Detail, At: f.At})
	}
	return out
}
