package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"math"
	"os"
	"slices"
	"strings"

	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect/balance"
)

// Masters of other makers serve in place of those that the bench makes: what is found of its own
// says little of how a judge does on a library that is unlike them. They come as `dubgauge
// measure` writes them. Those that bear the name of a song and of a defect, added as "song" and
// "defect", were spoilt by whoever made them; where there are none, clean ones are spoilt in their
// figures, and what their peaks tell of that is not known.

// longestLine of a file of measurements, in bytes.
const longestLine = 16 << 20

// measuredSongs reads clean masters, a JSON record a line. The genre in the tags says which of
// them are of one kind.
func measuredSongs(path string) ([]*Record, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []*Record
	lines := bufio.NewScanner(f)
	lines.Buffer(nil, longestLine)
	for lines.Scan() {
		r, err := measuredSong(lines.Bytes(), uint64(len(out)+1))
		if err != nil {
			return nil, fmt.Errorf("%s, line %d: %w", path, len(out)+1, err)
		}
		out = append(out, r)
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return out, nil
}

func measuredSong(line []byte, number uint64) (*Record, error) {
	r := &Record{Spec: Spec{Genre: "other masters", Seed: number}}
	var tags struct {
		Tags         struct{ Genre string }
		Song, Defect string
	}
	if err := json.Unmarshal(line, &r.Measurement); err != nil {
		return nil, err
	}
	if err := json.Unmarshal(line, &tags); err != nil {
		return nil, err
	}
	if g := strings.TrimSpace(tags.Tags.Genre); g != "" {
		r.Spec.Genre = g
	}
	s := r.Measurement.Spectrum.LoudestDB
	if len(s) == 0 {
		return nil, fmt.Errorf("no third octaves: write the records again with dubgauge measure")
	}
	if tags.Song != "" {
		h := fnv.New64a()
		h.Write([]byte(tags.Song))
		r.Spec.Seed, r.Spec.Defect = h.Sum64(), tags.Defect
	}
	r.Measurement.Faults = nil // of a clean master
	for range int(balance.WindowSeconds) {
		r.Thirds = append(r.Thirds, s)
	}
	return r, nil
}

// pushed is how much of what a boost adds to the level of a finished master is left behind the
// limiter that keeps its peaks where they were: what it is on the mean of the bench's own.
const pushed = 0.25

// spoilMeasured plants what changes the level or the spectrum, as a filter does it.
func (b *bench) spoilMeasured() {
	for _, d := range studio.Defects() {
		if d.Group == studio.TimeGroup {
			continue
		}
		for _, clean := range b.songs {
			b.spoilt[clean.Spec] = append(b.spoilt[clean.Spec], inFigures(clean, d, byItself(clean, d)))
		}
	}
}

// byItself is what a defect does to a song for all that is known without its audio.
func byItself(clean *Record, d studio.Defect) model {
	m := model{did: shift{figures: make([]float64, len(figures(clean)))}} // of the peaks nothing
	if d.Filter == nil {
		var dB float64
		fmt.Sscanf(strings.TrimPrefix(d.Name, "gain "), "%g", &dB)
		m.did.figures[levelFigure], m.did.peak = dB, math.Min(0, dB)
		return m
	}
	m.did.figures = throughFilter(clean, d.Filter())
	m.alone = slices.Clone(m.did.figures)
	switch level := &m.did.figures[levelFigure]; {
	case d.Mix != nil:
		*level = 0
	case *level > 0:
		*level *= pushed
	}
	return m
}

// readMeasured makes a bench of a file of measurements.
func readMeasured(path, half string) (*bench, error) {
	records, err := measuredSongs(path)
	if err != nil {
		return nil, err
	}
	b := arrange(records, half)
	if len(b.spoilt) == 0 {
		b.spoilMeasured()
	}
	return b, nil
}
