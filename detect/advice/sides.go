package advice

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
	"dubgauge/detect/standout"
)

// Sides compares how wide a track is with its references, by third octave: the level of
// the difference of its channels over that of their sum, in dB. Lists are as those of
// Advice; they are empty where the track or too many of its references have no such
// figures.
type Sides struct {
	// References that have the figures, of all that there are.
	References int `json:"references"`
	// Missing: the track has two channels, and its record is of before they were
	// compared.
	Missing  bool          `json:"missing,omitempty"`
	WidthDB  detect.Values `json:"width_db"`
	LowDB    detect.Values `json:"low_db"` // the group's 10th percentile, median, 90th
	MedianDB detect.Values `json:"median_db"`
	HighDB   detect.Values `json:"high_db"`
	// LossDB is what each band loses when the channels are summed.
	LossDB detect.Values `json:"loss_db"`
	// MidOffDB and SideOffDB are how far sum and difference lie from the group's medians
	// once levels match.
	MidOffDB  detect.Values `json:"mid_off_db"`
	SideOffDB detect.Values `json:"side_off_db"`
	// Runs are what is wider or narrower than usual, the most audible first.
	Runs []Rest `json:"runs"`
}

const (
	// narrowest width that is told from none, dB.
	narrowest = -40.0
	// heardWidth is the least level of the difference under the sum at which it is heard
	// as width, dB, and widthLeast the least change of it that is; our judgement.
	heardWidth = -15.0
	widthLeast = 3.0
	// unheard is how far under the level of the track a band lies that nobody hears, dB: what is left
	// there is dither, which is as wide as it can be. Common practice, no source.
	unheard = -60.0
	// mostRuns are named.
	mostRuns = 3
)

// widthOf lists the width of a spectrum in each band, nil where it has none.
func widthOf(s *detect.Spectrum) detect.Values {
	if len(s.MidDB) == 0 || len(s.MidDB) != len(s.SideDB) {
		return nil
	}
	out := make(detect.Values, len(s.MidDB))
	for b := range out {
		switch mid, side := s.MidDB[b], s.SideDB[b]; {
		case !mid.Exists() && !side.Exists():
			out[b] = detect.None
		case !side.Exists():
			out[b] = narrowest
		case !mid.Exists():
			out[b] = -narrowest
		default:
			out[b] = min(-narrowest, max(narrowest, side-mid))
		}
	}
	return out
}

// SidesOf compares a track of so many channels with its references, whose spectra and
// levels go in step; nil for one that has not two.
func SidesOf(channels int, own detect.Spectrum, level detect.Value, spectra []detect.Spectrum, levels []detect.Value) *Sides {
	if channels != 2 {
		return nil
	}
	s := &Sides{WidthDB: widthOf(&own), Runs: []Rest{}}
	s.Missing = s.WidthDB == nil
	var widths, mids, sides []detect.Spectrum
	var zero, theirs []detect.Value
	for i := range spectra {
		if w := widthOf(&spectra[i]); w != nil {
			widths, zero = append(widths, detect.Spectrum{LoudestDB: w}), append(zero, 0)
			mids = append(mids, detect.Spectrum{LoudestDB: spectra[i].MidDB})
			sides, theirs = append(sides, detect.Spectrum{LoudestDB: spectra[i].SideDB}), append(theirs, levels[i])
		}
	}
	s.References = len(widths)
	for b := range min(len(s.WidthDB), len(own.LoudestDB)) {
		s.LossDB = append(s.LossDB, min(0, own.MidDB[b]-own.LoudestDB[b]))
	}
	if s.Missing || s.References < FewestReferences {
		return s
	}
	s.LowDB, s.MedianDB, s.HighDB = standout.Bands(widths, zero)
	_, mid, _ := standout.Bands(mids, theirs)
	_, side, _ := standout.Bands(sides, theirs)
	n := min(len(s.WidthDB), len(s.LowDB), len(mid), len(side))
	s.WidthDB, s.LossDB = s.WidthDB[:n], s.LossDB[:n]
	for b := range n {
		s.MidOffDB = append(s.MidOffDB, own.MidDB[b]-level-mid[b])
		s.SideOffDB = append(s.SideOffDB, own.SideDB[b]-level-side[b])
		if own.LoudestDB[b]-level < unheard {
			s.WidthDB[b] = detect.None
		}
	}
	s.Runs = s.runs()
	return s
}

// off is how far the width of a band lies outside what is usual and heard, from the
// median; 0 where it does not.
func (s *Sides) off(b int) float64 {
	w, low, middle, high := s.WidthDB[b], s.LowDB[b], s.MedianDB[b], s.HighDB[b]
	if d := w - middle; (w > high && w > heardWidth && d >= widthLeast) || (w < low && middle > heardWidth && d <= -widthLeast) {
		return float64(d)
	}
	return 0
}

// runs lists neighbouring bands, two or more, that are wider than usual, or narrower, with
// the mean of how far.
func (s *Sides) runs() []Rest {
	out := []Rest{}
	for b := firstBand; b <= lastBand && b < len(s.WidthDB); {
		from, sum := b, 0.0
		for ; b <= lastBand && b < len(s.WidthDB) && s.off(b) != 0 && s.off(b)*s.off(from) > 0; b++ {
			sum += s.off(b)
		}
		if n := b - from; n >= 2 {
			out = append(out, Rest{detect.Value(spectrum.Centres[from]), detect.Value(spectrum.Centres[b-1]), detect.Value(sum / float64(n))})
		}
		if b == from {
			b++
		}
	}
	slices.SortStableFunc(out, func(x, y Rest) int { return cmp.Compare(math.Abs(float64(y.OffDB)), math.Abs(float64(x.OffDB))) })
	return out[:min(len(out), mostRuns)]
}

// Sentences puts it into words; all is how many references there are.
func (s *Sides) Sentences(all int) []string {
	switch {
	case s == nil:
		return nil
	case s.Missing:
		return []string{reason.NoWidth}
	case s.References < FewestReferences:
		return []string{reason.TooFewWidths(s.References, all, FewestReferences)}
	}
	var out []string
	for _, r := range s.Runs {
		out = append(out, reason.Width{From: float64(r.FromHz), To: float64(r.ToHz), Off: float64(r.OffDB)}.Sentence())
	}
	if len(out) == 0 {
		out = append(out, reason.UsualWidth)
	}
	return out
}
