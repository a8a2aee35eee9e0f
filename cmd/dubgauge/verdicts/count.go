package main

import (
	"cmp"
	"runtime"
	"slices"
	"strings"
	"sync"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/standout"
)

// tally counts judgements of one row and column.
type tally struct {
	judged, flagged, held int
	reported              int // a reason that the clean song has not
	named                 int // the right reason
	unlike                int // said to have no kind among its references
	fault                 int // check or worse by a reason that is a fault, not a comparison
}

func (t *tally) add(o tally) {
	t.judged += o.judged
	t.flagged += o.flagged
	t.held += o.held
	t.reported += o.reported
	t.named += o.named
	t.fault += o.fault
	t.unlike += o.unlike
}

// cell is a place in the tables.
type cell struct {
	row, kind string
	n         int
}

// cleanRow is the row of clean tracks; look-alikes have lookRow and their name.
const (
	cleanRow = "clean"
	lookRow  = "look: "
)

// subThere ends the rows of those songs that have a sub for a shelf at 60 Hz to move:
// in the others there is nothing to find.
const subThere = ", sub there"

// subLeast is the least level of the sub against the bass, in dB, from which it is there.
const subLeast = -6

func inSub(defect string) bool { return strings.HasPrefix(defect, "low shelf 60 Hz") }

func hasSub(song *Record) bool { return song.Measurement.Balance.SubShareDB >= subLeast }

// of judges one track; clean is the judgement of the same song without its
// defect, nil when it is the clean one.
func of(r *Record, got standout.Judgement, clean *standout.Judgement) tally {
	t := tally{judged: 1}
	if got.Verdict != standout.Ready {
		t.flagged = 1
		if slices.ContainsFunc(r.Measurement.Faults, func(f detect.Fault) bool { return reason.Kind(f.Kind).Severity() > reason.Note }) {
			t.fault = 1
		}
	}
	if got.Verdict == standout.HoldBack || got.Verdict == standout.Unreadable {
		t.held = 1
	}
	if got.Unlike {
		t.unlike = 1
	}
	right := rightCodes(r.Spec.Defect)
	for _, code := range got.Reasons {
		if clean != nil && !slices.Contains(clean.Reasons, code) {
			t.reported = 1
		}
		if slices.Contains(right, code) {
			t.named = 1
		}
	}
	return t
}

// alarm is a clean track that was flagged.
type alarm struct {
	spec    Spec
	kind    string
	n       int
	verdict standout.Verdict
	reasons []string
}

// counter runs a judge over a bench.
type counter struct {
	bench  *bench
	judge  judge
	times  int // groups of each kind and size a track
	mu     sync.Mutex
	cells  map[cell]*tally
	alarms []alarm
}

// run judges every track, clean and spoilt, held out of its references.
func (c *counter) run() {
	c.cells = map[cell]*tally{}
	type job struct {
		r    *Record
		kind string
		n    int
	}
	jobs := make(chan job)
	var wg sync.WaitGroup
	for range runtime.NumCPU() {
		wg.Go(func() {
			for j := range jobs {
				c.song(j.r, j.kind, j.n)
			}
		})
	}
	for _, kind := range []string{sameKind, otherKind, mixedKind} {
		for _, n := range sizes {
			for _, r := range append(slices.Clone(c.bench.songs), c.bench.looks...) {
				if asked(kind, r.Spec.Genre) {
					jobs <- job{r, kind, n}
				}
			}
		}
	}
	close(jobs)
	wg.Wait()
	slices.SortFunc(c.alarms, func(a, b alarm) int {
		return cmp.Or(cmp.Compare(a.spec.String(), b.spec.String()), cmp.Compare(a.kind, b.kind), a.n-b.n)
	})
}

// song judges a song and what was spoilt of it against groups of one kind and
// size.
func (c *counter) song(r *Record, kind string, n int) {
	rows := map[string]*tally{}
	count := func(row string, t tally) {
		if rows[row] == nil {
			rows[row] = new(tally)
		}
		rows[row].add(t)
	}
	var alarms []alarm
	for time := range c.times {
		refs := c.bench.draw(kind, r.Spec, n, time)
		if refs == nil {
			break
		}
		ask := c.judge(refs)
		clean := ask(r)
		row := cleanRow
		if r.Spec.Look != "" {
			row = lookRow + r.Spec.Look
		}
		count(row, of(r, clean, nil))
		if clean.Verdict != standout.Ready {
			alarms = append(alarms, alarm{r.Spec, kind, n, clean.Verdict, clean.Reasons})
		}
		for _, s := range c.bench.spoilt[r.Spec] {
			t := of(s, ask(s), &clean)
			count(s.Spec.Defect, t)
			if inSub(s.Spec.Defect) && hasSub(r) {
				count(s.Spec.Defect+subThere, t)
			}
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.alarms = append(c.alarms, alarms...)
	for row, t := range rows {
		at := cell{row, kind, n}
		if c.cells[at] == nil {
			c.cells[at] = new(tally)
		}
		c.cells[at].add(*t)
	}
}
