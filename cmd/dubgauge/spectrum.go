package main

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// The little picture of a spectrum: a column a third octave, a row for 4 dB.
const (
	rowDB   = 4.0
	maxRows = 14
)

// spectrum draws the third octaves of a track against the middle 80 % of its
// group, each relative to its own loudness.
func (a *app) spectrum(t *library.Track, group []library.Spectrum) {
	if !t.Loudness.Loudest30sLUFS.Exists() || len(t.Spectrum.LoudestDB) == 0 {
		return
	}
	low, high := groupBands(group)
	own := make([]detect.Value, len(t.Spectrum.LoudestDB))
	for i, v := range t.Spectrum.LoudestDB {
		own[i] = v - t.Loudness.Loudest30sLUFS
	}
	a.print("\n%s", wrap("Third octaves of the loudest 30 s, in dB against the track's own level; : is the middle 80 % of the group, o the track", a.term.width, ""))
	for _, line := range drawBands(own, low, high) {
		a.print("%s", line)
	}
}

// groupBands are the 10th and 90th percentile of the references' spectra.
func groupBands(group []library.Spectrum) (low, high []detect.Value) {
	var spectra []detect.Spectrum
	var levels []detect.Value
	for _, r := range group {
		spectra = append(spectra, r.Spectrum)
		levels = append(levels, r.Level)
	}
	low, _, high = standout.Bands(spectra, levels)
	return low, high
}

// drawBands draws rows of text from the loudest down; no row is empty.
func drawBands(own, low, high []detect.Value) []string {
	top := -math.MaxFloat64
	for _, vs := range [][]detect.Value{own, high} {
		for _, v := range vs {
			if v.Exists() {
				top = math.Max(top, float64(v))
			}
		}
	}
	top = math.Ceil(top/rowDB) * rowDB
	var lines []string
	for r := range maxRows {
		floor := top - rowDB*float64(r+1)
		var b strings.Builder
		fmt.Fprintf(&b, "%6.0f  ", floor+rowDB/2)
		for i := range own {
			b.WriteString(cellOf(own[i], at(low, i), at(high, i), floor))
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	for len(lines) > 0 && !strings.ContainsAny(lines[len(lines)-1], "o:") {
		lines = lines[:len(lines)-1]
	}
	return append(lines, strings.Repeat(" ", 8)+bandAxis(len(own)))
}

func at(v []detect.Value, i int) detect.Value {
	if i < len(v) {
		return v[i]
	}
	return detect.None
}

// cellOf is what stands in one band between floor and floor + rowDB.
func cellOf(own, low, high detect.Value, floor float64) string {
	in := func(v detect.Value) bool { return float64(v) >= floor && float64(v) < floor+rowDB }
	switch {
	case own.Exists() && in(own):
		return "o "
	case low.Exists() && float64(high) >= floor && float64(low) < floor+rowDB:
		return ": "
	}
	return "  "
}

// axisMarks are the bands that are named under the picture.
var axisMarks = map[int]string{1: "25", 4: "50", 7: "100", 10: "200", 14: "500", 17: "1k", 20: "2k", 24: "5k", 27: "10k", 30: "20k Hz"}

func bandAxis(n int) string {
	var b strings.Builder
	for i := 0; i < n; i++ {
		if mark, ok := axisMarks[i]; ok {
			for b.Len() < 2*i {
				b.WriteByte(' ')
			}
			b.WriteString(mark)
		}
	}
	return b.String()
}
