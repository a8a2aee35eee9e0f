package coded

import "dubgauge/detect"

// Look is what the loudest part of a track shows when it is looked at closer. Levels are in
// dB and dBTP, ratios in LU; what does not exist is None.
type Look struct {
	Ratios struct {
		Low  detect.Value `json:"low_lu"`  // below 150 Hz; package crest
		Mid  detect.Value `json:"mid_lu"`  // up to 2 kHz
		High detect.Value `json:"high_lu"` // above
	} `json:"peak_to_loudness"`
	Copies []Copy `json:"copies"`
}

// Copy is what an encoder makes of the part.
type Copy struct {
	Encoding Encoding     `json:"-"`
	Name     string       `json:"encoding"`
	Before   detect.Value `json:"before_dbtp"` // true peak
	After    detect.Value `json:"after_dbtp"`  // of the decoded copy; None where it was not measured
	Expected detect.Value `json:"expected_dbtp"`
	// Ceiling keeps a copy under full scale; None where no ceiling is sure to.
	Ceiling detect.Value `json:"ceiling_dbtp"`
	// Problem is why After was not measured.
	Problem string `json:"problem,omitempty"`
}

// tellable in dB is the rise of one in ten up to which the table gives a ceiling: where chance
// moves a peak by more, none is sure.
const tellable = 1.5

// NewCopy holds a measured peak before and after; after is None where problem says why. topDB is
// what Top gives of the part.
func NewCopy(e Encoding, before, after detect.Value, topDB float64, problem string) Copy {
	c := Copy{Encoding: e, Name: e.String(), Before: before, After: after, Problem: problem, Ceiling: detect.None}
	c.Expected = detect.Value(e.Expected(float64(before), topDB))
	switch {
	case after.Exists():
		c.Ceiling = detect.Value(Ceiling(float64(after - before)))
	case e.Rise().P90 <= tellable:
		c.Ceiling = detect.Value(Ceiling(e.Rise().P90))
	}
	return c
}

// TopOf is Top of the loudest part of a track.
func TopOf(s *detect.Spectrum) float64 {
	levels := make([]float64, len(s.LoudestDB))
	for i, v := range s.LoudestDB {
		levels[i] = float64(v)
	}
	return Top(s.CentreHz, levels)
}
