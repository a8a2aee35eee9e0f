package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
)

// material is what is to be measured.
type material struct {
	seeds   int    // songs of each genre
	defects int    // of these, so many are spoilt too, with every defect
	groups  string // which groups of them; empty is all
	looks   int    // seeds of each look-alike
	pieces  []string
	half    string // only this one; all of both when it is empty or "all"
}

// songs lists the clean tracks of the half that is asked for.
func (m material) songs() []Spec {
	return slices.DeleteFunc(m.both(), func(s Spec) bool { return m.half != "" && m.half != "all" && s.Half() != m.half })
}

func (m material) both() []Spec {
	var out []Spec
	for seed := range m.seeds {
		for _, g := range studio.Genres {
			out = append(out, Spec{Genre: g.Name, Seed: uint64(seed + 1)})
		}
	}
	for i := range m.pieces {
		out = append(out, Spec{Genre: openMusic, Seed: uint64(i + 1)})
	}
	for i, l := range studio.Lookalikes() {
		for seed := range m.looks {
			g := studio.Genres[(i+seed)%len(studio.Genres)]
			out = append(out, Spec{Genre: g.Name, Seed: uint64(lookSeed + seed), Look: l.Name})
		}
	}
	return out
}

// lookSeed is the first seed of look-alikes: other songs than the references.
const lookSeed = 1001

// of lists what is made of one song: itself, and its defects if it has any.
func (m material) of(song Spec) []Spec {
	out := []Spec{song}
	if song.Look != "" || song.Seed > uint64(m.defects) {
		return out
	}
	for _, d := range studio.Defects() {
		if m.groups != "" && !strings.Contains(m.groups, d.Group) {
			continue
		}
		s := song
		s.Defect = d.Name
		out = append(out, s)
	}
	return out
}

// all measures whatever the cache lacks and returns every record.
func (m material) all(ctx context.Context, c cache, workers int, done func(song Spec, measured int)) ([]*Record, error) {
	songs := m.songs()
	results := make([][]*Record, len(songs))
	jobs := make(chan int)
	var wg sync.WaitGroup
	var once sync.Once
	var failed error
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	for range max(1, workers) {
		wg.Go(func() {
			for i := range jobs {
				records, n, err := m.song(ctx, c, songs[i])
				if err != nil {
					once.Do(func() { failed = err; cancel() })
					continue
				}
				results[i] = records
				done(songs[i], n)
			}
		})
	}
	for i := range songs {
		jobs <- i
	}
	close(jobs)
	wg.Wait()
	var out []*Record
	for _, r := range results {
		out = append(out, r...)
	}
	return out, failed
}

// song gives the records of one song, of which it measures those that the cache
// lacks; the number of these is returned too.
func (m material) song(ctx context.Context, c cache, song Spec) (out []*Record, measured int, err error) {
	var missing []Spec
	for _, s := range m.of(song) {
		if r := c.load(s); r != nil && !c.fresh {
			out = append(out, r)
		} else {
			missing = append(missing, s)
		}
	}
	if len(missing) == 0 || c.only || ctx.Err() != nil {
		return out, 0, ctx.Err()
	}
	w, err := m.open(song)
	if errors.Is(err, errShort) {
		return nil, 0, nil
	}
	if err != nil {
		return nil, 0, err
	}
	for _, s := range missing {
		a, thirds, err := w.make(s)
		if err != nil {
			return nil, 0, err
		}
		r, err := measure(ctx, s, a, thirds)
		if err != nil {
			return nil, 0, fmt.Errorf("%s: %w", s, err)
		}
		if err := c.store(r); err != nil {
			return nil, 0, err
		}
		out = append(out, r)
	}
	return out, len(missing), nil
}

// work is a song on the table: its piece and its finished file.
type work struct {
	piece  *studio.Piece
	master sound.Audio
}

// open renders and masters a song.
func (m material) open(s Spec) (*work, error) {
	w := &work{}
	switch {
	case s.Genre == openMusic:
		a, err := readPiece(m.pieces[s.Seed-1])
		if err != nil {
			return nil, err
		}
		w.piece = studio.PieceOf(a, s.Seed)
		w.master = w.piece.Master()
	case s.Look != "":
		w.master = studio.Lookalike(s.Look).Render(studio.Compose(studio.GenreNamed(s.Genre), s.Seed))
	default:
		w.piece = studio.Compose(studio.GenreNamed(s.Genre), s.Seed).Piece()
		w.master = w.piece.Master()
	}
	quantise(w.master, bitsOf(s), s.Seed)
	return w, nil
}

// make gives the audio of a Spec, and whether its third octaves are kept.
func (w *work) make(s Spec) (sound.Audio, bool, error) {
	if s.Clean() {
		return w.master, true, nil
	}
	for _, d := range studio.Defects() {
		if d.Name == s.Defect {
			a := w.piece.Spoil(d, w.master)
			if d.Mix != nil {
				quantise(a, bitsOf(s), s.Seed)
			}
			return a, d.Group != studio.TimeGroup, nil
		}
	}
	return sound.Audio{}, false, fmt.Errorf("no such defect as %q", s.Defect)
}
