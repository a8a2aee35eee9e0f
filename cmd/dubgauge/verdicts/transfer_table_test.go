package main

import (
	"errors"
	"fmt"
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
	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
	"dubgauge/detect/tempo"
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
}

type transferRow struct{ n, noted, checked, heard, heardNoted, heardChecked int }

// tell counts one track of a row; heard says that the fault can be heard in it.
func (t *transferTable) tell(row string, noted, checked, heard bool) {
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
	} {
		if c.yes {
			*c.count++
		}
	}
}

// TestTransferTable prints what is found of the faults of a transfer and what is
// flagged in clean tracks, over songs, look-alikes and real pieces, by tempo, faults
// and transfer alone. DUBGAUGE_TABLE is fit (even seeds and pieces) or show (odd ones);
// DUBGAUGE_SEEDS so many songs of each genre, of each half, and seeds of each
// look-alike (2); DUBGAUGE_PIECES takes every so manieth piece (8).
func TestTransferTable(t *testing.T) {
	half := os.Getenv("DUBGAUGE_TABLE")
	if half == "" {
		t.Skip("DUBGAUGE_TABLE=fit or show prints the table of what a transfer leaves")
	}
	m := material{seeds: 2 * number("DUBGAUGE_SEEDS", 2)}
	m.looks = m.seeds
	if checks := os.Getenv("DUBGAUGE_CHECKS"); checks != "" {
		m.pieces = findPieces([]string{filepath.Join(checks, "music")})
	}
	if folders := os.Getenv("DUBGAUGE_MUSIC"); folders != "" {
		m.pieces = append(m.pieces, findPieces(strings.Split(folders, ","))...)
	}
	every := number("DUBGAUGE_PIECES", 8)
	table := &transferTable{rows: map[string]*transferRow{}}
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
		if s.Half() == half && (s.Genre != openMusic || int(s.Seed)/2%every == 0) {
			jobs <- s
		}
	}
	close(jobs)
	wg.Wait()
	table.print(t)
}

func number(env string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(env)); err == nil && n > 0 {
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
			line += fmt.Sprintf("; heard in %3d: named %3.0f %%, check %3.0f %%", r.heard, rate(r.heardNoted, r.heard), rate(r.heardChecked, r.heard))
		}
		tt.Log(line)
	}
}

func rate(part, whole int) float64 { return 100 * float64(part) / float64(max(1, whole)) }

// song counts a clean song and what is spoilt of it.
func (t *transferTable) song(tt *testing.T, m material, s Spec) error {
	w, err := m.open(s)
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
	found := reasons(w.master)
	t.alarms(tt, kind, s, found)
	if s.Look != "" {
		return nil
	}
	for _, d := range studio.Defects() {
		if !slices.ContainsFunc(transferred, func(p string) bool { return strings.HasPrefix(d.Name, p) }) {
			continue
		}
		bad := s
		bad.Defect = d.Name
		a, _, err := w.make(bad)
		if err != nil {
			return err
		}
		t.found(tt, kind, bad, reasons(a), heard(d.Name, w.master, a))
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
		t.tell(name, worst >= reason.Note, worst >= reason.Check, false)
	}
	for _, code := range codesOfTransfer {
		noted, checked := said(found, []string{code})
		name := "clean"
		if s.Look != "" {
			name = "clean look-alikes"
		}
		t.tell(name+": "+code, noted, checked, false)
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

// found counts a defect.
func (t *transferTable) found(tt *testing.T, kind string, s Spec, found []faults.Fault, heard bool) {
	noted, checked := said(found, rightCodes(s.Defect))
	t.tell(s.Defect+", "+kind, noted, checked, heard)
	if heard && !noted {
		tt.Logf("missed %s", s)
	}
}

// reasons measures a track and keeps what counts here.
func reasons(a sound.Audio) []faults.Fault {
	beat := tempo.New(sound.Rate, 2)
	left := transfer.New(sound.Rate, 2)
	info := decode.Info{Format: "wav", Codec: "pcm_s24", SampleRate: sound.Rate, Channels: 2, BitDepth: 24, Frames: int64(a.Len())}
	fault := faults.New(info)
	a.Blocks(func(b [][]float32) {
		beat.Write(b)
		fault.Write(b)
		left.Write(b)
	})
	r := beat.Result()
	var out []faults.Fault
	for _, f := range fault.Result().Faults {
		if slices.Contains(codesOfTransfer, f.Kind.Reason()) {
			out = append(out, f)
		}
	}
	for _, f := range left.Result(transfer.Beat{BPM: r.BPM, Confidence: r.Confidence}) {
		out = append(out, faults.Fault{Kind: f.Kind, Detail: f.Detail, At: f.At})
	}
	return out
}
