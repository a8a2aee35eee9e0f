package main

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"dubgauge/detect/continuity"
	"dubgauge/detect/reason"
)

// breakRow counts one row of the table.
type breakRow struct {
	n, found, noted, flagged, held int
	// Of what has a limit: where there is something to tell it by, what was found of that,
	// and what can be told by one who knows the place; see planted.limit.
	limited, heard, heardFound, told int
}

// breakTable is the table of package continuity.
type breakTable struct {
	t     *testing.T
	kept  kept
	mat   material
	kbps  int    // 0 for PCM
	only  string // rows whose name contains it
	mu    sync.Mutex
	rows  map[string]*breakRow
	order []string
}

func (b *breakTable) count(name string, f func(*breakRow)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.rows[name] == nil {
		b.rows[name] = &breakRow{}
		b.order = append(b.order, name)
	}
	f(b.rows[name])
}

// TestBreaks prints which shares of planted breaks are found, and of clean tracks and
// look-alikes flagged, with tempo and continuity alone:
//
//	DUBGAUGE_TABLE=1    PCM; a bit rate in kbit/s: after LAME
//	DUBGAUGE_HALF=fit   show by default
//	DUBGAUGE_ONLY=hole  rows of that name; the others' tracks are not made
//	DUBGAUGE_SEEDS=4    songs of each genre, and seeds of each look-alike
//	DUBGAUGE_LOOKS=40   seeds of each look-alike
//	DUBGAUGE_MUSIC      folders of real pieces
//	DUBGAUGE_VERDICTS   folder that keeps what was made
func TestBreaks(t *testing.T) {
	how := os.Getenv("DUBGAUGE_TABLE")
	if how == "" {
		t.Skip("DUBGAUGE_TABLE is not set: 1 for PCM, or a bit rate in kbit/s")
	}
	b := &breakTable{t: t, rows: map[string]*breakRow{}, only: os.Getenv("DUBGAUGE_ONLY")}
	if fmt.Sscan(how, &b.kbps); b.kbps == 1 {
		b.kbps = 0
	}
	b.kept.dir = filepath.Join(os.Getenv("DUBGAUGE_VERDICTS"), "breaks")
	if os.Getenv("DUBGAUGE_VERDICTS") == "" {
		b.kept.dir = t.TempDir()
	}
	if err := os.MkdirAll(b.kept.dir, 0o755); err != nil {
		t.Fatal(err)
	}
	b.mat = material{seeds: 4, looks: 4, pieces: breakPieces()}
	if n := os.Getenv("DUBGAUGE_SEEDS"); n != "" {
		fmt.Sscan(n, &b.mat.seeds)
		b.mat.looks = b.mat.seeds
	}
	fmt.Sscan(os.Getenv("DUBGAUGE_LOOKS"), &b.mat.looks)
	half := os.Getenv("DUBGAUGE_HALF")
	if half == "" {
		half = "show"
	}
	jobs := make(chan Spec)
	var wg sync.WaitGroup
	for range 2 {
		wg.Go(func() {
			for s := range jobs {
				b.track(s)
			}
		})
	}
	songs := b.mat.songs()
	rand.New(rand.NewPCG(1, 1)).Shuffle(len(songs), func(i, j int) { songs[i], songs[j] = songs[j], songs[i] })
	end, bounded := t.Deadline()
	for _, s := range songs {
		if bounded && time.Until(end) < lastTracks {
			break
		}
		if (half == "all" || s.Half() == half) && b.wants(s) {
			jobs <- s
		}
	}
	close(jobs)
	wg.Wait()
	b.print()
}

// lastTracks is the time before the test's deadline that the last tracks get: the table is
// of what has been looked at by then, which is a sample, as the tracks are shuffled.
const lastTracks = 2 * time.Minute

// breakPieces lists the real music.
func breakPieces() []string {
	var folders []string
	if checks := os.Getenv("DUBGAUGE_CHECKS"); checks != "" {
		folders = append(folders, filepath.Join(checks, "music"))
	}
	if more := os.Getenv("DUBGAUGE_MUSIC"); more != "" {
		folders = append(folders, strings.Split(more, ",")...)
	}
	return findPieces(folders)
}

// wants tells whether a track has any of the rows that are asked for.
func (b *breakTable) wants(s Spec) bool {
	if s.Look != "" {
		return strings.Contains(lookName+s.Look, b.only)
	}
	return !strings.HasPrefix(b.only, lookName) && (b.only != asItIs || s.Genre == openMusic)
}

const (
	lookName = "look: "
	asItIs   = "clean piece as it is" // all of it, not mastered
)

// track makes all rows of a track.
func (b *breakTable) track(s Spec) {
	if s.Genre == openMusic && strings.Contains(asItIs, b.only) {
		x, err := decoded(b.mat.pieces[s.Seed-1])
		if err != nil {
			b.t.Error(s, err)
			return
		}
		b.clean(asItIs, s, x)
		if b.only == asItIs {
			return
		}
	}
	x, where, err := b.kept.master(b.mat, s)
	if errors.Is(err, errShort) {
		return
	}
	if err != nil {
		b.t.Error(s, err)
		return
	}
	if s.Look != "" {
		b.clean(lookName+s.Look, s, x)
		return
	}
	name := "clean song"
	if s.Genre == openMusic {
		name = "clean piece"
	}
	own := b.clean(name, s, x)
	rows := append(slices.Clone(plants), studioPlants(where)...)
	grid := b.kept.grid(x)
	for i, row := range slices.Concat(rows, musical, inside, filled, bedded) {
		if !strings.Contains(row.name, b.only) || b.kbps > 0 && !row.lossy {
			continue
		}
		p := &planter{x: x.clone(), grid: grid, r: rand.New(rand.NewPCG(s.Seed, uint64(i)))}
		what := row.do(p)
		switch {
		case what.codes == nil:
		case what.codes[0] == "none":
			b.look(row.name, s, p.x, own)
		default:
			b.spoilt(row.name, s, p.x, what, grid, own)
		}
	}
}

// breaks is what is found in a track, after the encoder if there is one, with the beat
// that is measured there; or with the given one.
func (b *breakTable) breaks(x stereo, still *continuity.Grid) []continuity.Finding {
	if b.kbps > 0 {
		x = b.kept.encoded(b.t, x, b.kbps)
	}
	if still != nil {
		return breaks(x, *still)
	}
	return breaks(x, b.kept.grid(x))
}

// clean counts a track that nothing is wrong with.
func (b *breakTable) clean(name string, s Spec, x stereo) []continuity.Finding {
	found := b.breaks(x, nil)
	if strings.Contains(name, b.only) {
		b.alarm(name, s, x, found)
	}
	return found
}

// look counts a musical edit; what the track has by itself is counted with it.
func (b *breakTable) look(name string, s Spec, x stereo, own []continuity.Finding) {
	b.alarm("edit: "+name, s, x, slices.DeleteFunc(b.breaks(x, nil), func(f continuity.Finding) bool {
		return slices.ContainsFunc(own, func(o continuity.Finding) bool { return o.Kind == f.Kind })
	}))
}

func (b *breakTable) alarm(name string, s Spec, x stereo, found []continuity.Finding) {
	worst := reason.Note
	for _, f := range found {
		worst = max(worst, f.Kind.Severity())
	}
	b.count(name, func(r *breakRow) {
		r.n++
		if len(found) > 0 && worst == reason.Note {
			r.noted++
		}
		if worst >= reason.Check {
			r.flagged++
		}
		if worst == reason.HoldBack {
			r.held++
		}
	})
	if len(found) > 0 {
		b.t.Logf("false: %s: %s: %+v", name, s, found)
	}
}

// spoilt counts a fault. What the track has by itself does not count as found.
func (b *breakTable) spoilt(name string, s Spec, x stereo, what planted, still continuity.Grid, own []continuity.Finding) {
	var grid *continuity.Grid
	if what.still {
		grid = &still
	}
	found := b.breaks(x, grid)
	hit := slices.ContainsFunc(found, func(f continuity.Finding) bool {
		near := math.IsNaN(what.at) || math.Abs(f.At-what.at) < 1.5 || f.At <= what.at && f.Until >= what.at
		same := func(o continuity.Finding) bool { return o.Kind == f.Kind && (o.At == f.At || math.IsNaN(o.At)) }
		return near && slices.Contains(what.codes, f.Kind.Reason()) && !slices.ContainsFunc(own, same)
	})
	b.count(name, func(r *breakRow) {
		r.n++
		if hit {
			r.found++
		}
		heard, told, limited := what.limit(x, still)
		if !limited {
			return
		}
		r.limited++
		if heard {
			r.heard++
			if hit {
				r.heardFound++
			}
			if told {
				r.told++
			}
		}
	})
	if !hit {
		b.t.Logf("missed: %s: %s at %.3f: beat was %+v: %+v", name, s, what.at, still, found)
	}
}

func (b *breakTable) print() {
	slices.Sort(b.order)
	var all breakRow
	for _, name := range b.order {
		r := b.rows[name]
		if strings.HasPrefix(name, lookName) || strings.HasPrefix(name, "edit: ") || strings.HasPrefix(name, "clean ") {
			r.alarms(name)
			all = breakRow{n: all.n + r.n, noted: all.noted + r.noted, flagged: all.flagged + r.flagged, held: all.held + r.held}
			continue
		}
		fmt.Printf("%-44s n %4d  found %5.1f %%", name, r.n, percentOf(r.found, r.n))
		if r.limited > 0 {
			fmt.Printf("  something to tell by in %4d: found %5.1f %%, by one who knows the place %5.1f %%", r.heard, percentOf(r.heardFound, r.heard), percentOf(r.told, r.heard))
		}
		fmt.Println()
	}
	all.alarms("all that is clean")
}

func percentOf(k, n int) float64 { return 100 * float64(k) / float64(max(1, n)) }

// alarms prints how many got a note and nothing worse, were flagged, and of these held back.
func (r breakRow) alarms(name string) {
	fmt.Printf("%-44s n %4d  noted %5.1f %%  flagged %5.1f %% (%d)  held back %5.1f %% (%d)\n", name, r.n,
		percentOf(r.noted, r.n), percentOf(r.flagged, r.n), r.flagged, percentOf(r.held, r.n), r.held)
}
