package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	"dubgauge/detect/spectrum"
)

// relative is a track's third octaves over its loudest 30 s against the
// loudness of that part: what is left when levels are matched. NaN stays.
func relative(r *Record) []float64 {
	out := make([]float64, len(r.Measurement.Spectrum.LoudestDB))
	for i, v := range r.Measurement.Spectrum.LoudestDB {
		out[i] = float64(v - r.Measurement.Loudness.Loudest30sLUFS)
	}
	return out
}

// deviation is the mean and the standard deviation of the numbers in x.
func deviation(x []float64) (mean, sd float64) {
	x = slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		sd += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, math.Sqrt(sd)
}

// printSpread writes mean and standard deviation by third octave, a genre a
// column, and of the level.
func printSpread(w io.Writer, songs []*Record) {
	by := map[string][]*Record{}
	var names []string
	for _, r := range songs {
		if by[r.Spec.Genre] == nil {
			names = append(names, r.Spec.Genre)
		}
		by[r.Spec.Genre] = append(by[r.Spec.Genre], r)
	}
	fmt.Fprintf(w, "%-8s", "Hz")
	for _, n := range names {
		fmt.Fprintf(w, "%14s", n)
	}
	column := func(title string, f func(*Record) float64) {
		fmt.Fprintf(w, "\n%-8s", title)
		for _, n := range names {
			var x []float64
			for _, r := range by[n] {
				x = append(x, f(r))
			}
			mean, sd := deviation(x)
			fmt.Fprintf(w, "%14s", fmt.Sprintf("%.1f ± %.1f", mean, sd))
		}
	}
	for b := range spectrum.Bands {
		column(fmt.Sprint(spectrum.Centres[b]), func(r *Record) float64 { return relative(r)[b] })
	}
	column("LUFS 30", func(r *Record) float64 { return float64(r.Measurement.Loudness.Loudest30sLUFS) })
	column("LUFS", func(r *Record) float64 { return float64(r.Measurement.Loudness.IntegratedLUFS) })
	column("low", func(r *Record) float64 { return float64(r.Measurement.LowEnd.LowDB) })
	column("sub", func(r *Record) float64 { return float64(r.Measurement.LowEnd.SubDB) })
	column("bass", func(r *Record) float64 { return float64(r.Measurement.LowEnd.BassDB) })
	column("dBTP", func(r *Record) float64 { return float64(r.Measurement.Peak.TruePeakDBTP) })
	fmt.Fprintln(w)
}
