package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"dubgauge/detect/setlist"
	"dubgauge/detect/standout"
)

// setFlags are the options of how steps are judged, levelled and weighed.
type setFlags struct {
	set         setlist.Options
	by          string
	tempo, rise string // aims
	weights     map[string]string
	judge       func() standout.Options
}

// addLimits adds the options that say what stands out, and what the parts of a cost count.
func (f *setFlags) addLimits(cmd *cobra.Command) {
	f.judge = judgeFlags(cmd)
	fl := cmd.Flags()
	l := &f.set.Limits
	fl.Float64Var(&l.LevelLU, "step-level", setlist.AudibleLevel, "a step of level from `LU` on can stand out; trims keep every step within it")
	fl.Float64Var(&l.LowEndDB, "step-low", setlist.AudibleLowEnd, "a step of sub or bass from `DB` on can stand out")
	fl.Float64Var(&l.TempoPercent, "step-tempo", math.Round(100*setlist.AudibleTempo)/100, "a step of tempo from `PERCENT` on can stand out; half a semitone of pitch")
	fl.Float64Var(&l.KeyNotes, "step-key", setlist.ClashingNotes, "a step of key from so many `NOTES` of the scale on can stand out, of 5; 6 is never")
	fl.Float64Var(&l.Spreads, "spreads", setlist.DefaultSpreads, "a step this many `SPREADS` of the list's own steps is out of the ordinary")
	fl.StringVar(&f.tempo, "tempo", "", "the tempo is to `GO`: rise or fall")
	fl.StringVar(&f.rise, "level", "", "the level is to `GO`: rise or fall")
	fl.StringToStringVar(&f.weights, "weight", nil, "what a part of a step's cost counts, `PART=N`: tempo (1), key (1), level (0.5), low (0.5), aim (1)")
}

// addLevelling adds the options of the trims.
func (f *setFlags) addLevelling(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.by, "by", string(setlist.ByLoudest), "level the tracks by their `PARTS`: loudest, or ends (the end before and the start)")
	fl.BoolVar(&f.set.Baked, "baked", false, "no trim goes past what its file has room for under the ceiling")
}

// options checks what was asked for.
func (f *setFlags) options() (o setlist.Options, err error) {
	o = f.set
	o.By = setlist.By(f.by)
	o.CeilingDBTP = standout.DefaultCeiling
	if c := f.judge().Ceiling; c != nil {
		o.CeilingDBTP = *c
	}
	if o.By != "" && o.By != setlist.ByLoudest && o.By != setlist.ByEnds {
		return o, fmt.Errorf("--by %q: choose loudest or ends", f.by)
	}
	for name, v := range map[string]float64{"step-level": o.Limits.LevelLU, "step-low": o.Limits.LowEndDB, "step-tempo": o.Limits.TempoPercent, "step-key": o.Limits.KeyNotes, "spreads": o.Limits.Spreads} {
		if !(v >= 0.1) || v > 1000 {
			return o, fmt.Errorf("--%s %v: choose a number from 0.1 to 1000", name, v)
		}
	}
	if o.Aim.Tempo, err = aim("tempo", f.tempo); err == nil {
		o.Aim.Level, err = aim("level", f.rise)
	}
	if err == nil {
		o.Weights, err = weights(f.weights)
	}
	return o, err
}

func aim(name, said string) (int, error) {
	switch said {
	case "":
		return 0, nil
	case "rise":
		return 1, nil
	case "fall":
		return -1, nil
	}
	return 0, fmt.Errorf("--%s %q: choose rise or fall", name, said)
}

// weights are the defaults with what was said in their place.
func weights(said map[string]string) (setlist.Weights, error) {
	w := setlist.DefaultWeights
	of := map[string]*float64{"tempo": &w.Tempo, "key": &w.Key, "level": &w.Level, "low": &w.LowEnd, "aim": &w.Aim}
	for part, text := range said {
		to := of[part]
		if to == nil {
			return w, fmt.Errorf("--weight %s: choose tempo, key, level, low or aim", part)
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !(v >= 0) || v > 1000 {
			return w, fmt.Errorf("--weight %s=%s: choose a number from 0 to 1000", part, text)
		}
		*to = v
	}
	if w == (setlist.Weights{}) {
		return w, errors.New("--weight: at least one must be more than 0")
	}
	return w, nil
}

// placeFlags are the tracks that keep a place when an order is suggested.
type placeFlags struct {
	first, last string
	pins        []string
}

func (p *placeFlags) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.first, "first", "", "`TRACK` begins")
	cmd.Flags().StringVar(&p.last, "last", "", "`TRACK` ends")
	cmd.Flags().StringArrayVar(&p.pins, "pin", nil, "`N=TRACK`: that track stays at, or goes to, place N; may be given several times")
}

func (p *placeFlags) any() bool { return p.first != "" || p.last != "" || len(p.pins) > 0 }

// asked lists the places, from 0, and what is said of the track for each.
func (p *placeFlags) asked(n int) (places []int, tracks []string, err error) {
	add := func(place int, track string) {
		places, tracks = append(places, place), append(tracks, track)
	}
	if p.first != "" {
		add(0, p.first)
	}
	if p.last != "" {
		add(n-1, p.last)
	}
	for _, pin := range p.pins {
		number, track, ok := strings.Cut(pin, "=")
		place, err := strconv.Atoi(number)
		if !ok || err != nil || track == "" || place < 1 || place > n {
			return nil, nil, fmt.Errorf("--pin %q: write a place from 1 to %d and a track, as in --pin 3='night bus'", pin, n)
		}
		add(place-1, track)
	}
	return places, tracks, nil
}
