package main

import (
	"fmt"
	"io"

	"gonum.org/v1/gonum/stat"

	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/standout"
)

// printPeaks writes what defects leave of the peaks of songs that were measured with them: of the
// share that is flat, in dB, and of what passes the highest sample; package standout holds tracks
// against that. Songs that are spoilt in their figures tell nothing of it.
func printPeaks(w io.Writer, b *bench) {
	fmt.Fprintf(w, "What is left of the peaks, medians (standard deviations)\n%-34s%8s%20s%22s\n", "", "songs", "flat, dB", "over the samples, dB")
	for _, d := range studio.Defects() {
		if d.Group == studio.TimeGroup {
			continue
		}
		var flat, over []float64
		for _, clean := range b.songs {
			r := b.with(clean, d.Name)
			if r == nil || r.Measurement.Limiting == nil || clean.Measurement.Limiting == nil {
				continue
			}
			f, o := peaksOf(&r.Measurement)
			was, wasOver := peaksOf(&clean.Measurement)
			flat, over = append(flat, f-was), append(over, o-wasOver)
		}
		if len(flat) > 0 {
			fmt.Fprintf(w, "%-34s%8d%20s%22s\n", d.Name, len(flat), middle(flat), middle(over))
		}
	}
}

// peaksOf are the share that is flat and by how much the signal passes its highest sample, in dB.
func peaksOf(m *detect.Measurement) (flat, over float64) {
	return standout.FlatDB(m.Limiting.FlatShare), float64(m.Peak.TruePeakDBTP - m.Peak.SamplePeakDBFS)
}

// middle is the median and the standard deviation.
func middle(x []float64) string {
	return fmt.Sprintf("%+.2f (%.2f)", dsp.Median(x), stat.PopStdDev(x, nil))
}
