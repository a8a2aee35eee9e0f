package standout

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"dubgauge/detect"
	"dubgauge/detect/dsp"
	"dubgauge/detect/reason"
)

// peaks are what the mastering has left of the peaks of a track, in dB: how much of it touches
// the top, as 10 log10 of that share (detect.Limiting), and by how much the continuous signal
// passes the highest sample. No gain changes either. NaN where they were not measured.
//
// An equaliser behind the limiter changes both: what it cuts no longer holds the peaks at one
// height, and what it boosts is limited once more, or turned down with all the rest. Of one in
// the mix, which is mastered after it, the peaks tell nothing.
type peaks struct {
	flat, over float64
	lossy      bool // a lossy encoder moves the peaks too
}

// leastFlat is the share under which flat tops are no longer told apart.
const leastFlat = 0.002

// FlatDB is a share that touches the top (detect.Limiting) in dB, as tracks are held against each
// other in it: 10 log10(share + leastFlat).
func FlatDB(share detect.Value) float64 { return 10 * math.Log10(float64(share)+leastFlat) }

// peaks of t.
func (t *Track) peaks() peaks {
	p := peaks{math.NaN(), float64(t.True - t.SamplePeak), t.Lossy || t.faulty([]reason.Kind{reason.Transcode}, func(*detect.Fault) bool { return true })}
	if t.Limiting != nil {
		p.flat = FlatDB(t.Limiting.FlatShare)
	}
	return p
}

func (p peaks) exist() bool { return !math.IsNaN(p.flat+p.over) && !math.IsInf(p.flat+p.over, 0) }

// making is where another master of the references' kind would have its peaks.
type making struct{ flat, over prediction }

// makings are those of lossless tracks and of lossy ones; nil where too few references are such.
type makings struct{ lossless, lossy *making }

func (m makings) of(x peaks) *making {
	if x.lossy {
		return m.lossy
	}
	return m.lossless
}

// flatPrior and overPrior are how much that differs in general: the peaks of the bench's masters, which
// went through one chain, by 2 and 0.05 dB, those of another maker's by 1.2 and 0.6. Records of
// many studios differ more, so that little is made of it before the references have told.
var (
	flatPrior = spreadPrior{sd: 2.5, weight: 4, floor: 1}
	overPrior = spreadPrior{sd: 0.5, weight: 4, floor: 0.2}
)

// leastMade is how many tell how masters of a kind are made.
const leastMade = MinGroup - 1

// learnPeaks learns from the references but one, -1 for none.
func learnPeaks(refs []peaks, but int) makings {
	learn := func(lossy bool) *making {
		var flat, over []float64
		for i, r := range refs {
			if i != but && r.exist() && r.lossy == lossy {
				flat, over = append(flat, r.flat), append(over, r.over)
			}
		}
		if len(flat) < leastMade {
			return nil
		}
		return &making{moderated(flat, dsp.Median(flat), flatPrior), moderated(over, dsp.Median(over), overPrior)}
	}
	return makings{learn(false), learn(true)}
}

// left is what a filter behind the limiter leaves of the peaks: of the share that is flat, in dB,
// and of what passes the samples, as a part of it that comes or goes; and how much either
// differs from track to track. Cuts as they come; boosts that are limited again.
type left struct{ flat, flatSpread, over, overSpread float64 }

// turnedDown is what a boost leaves that is not limited again but turned down with all the rest.
var turnedDown = left{-14, 3, -0.7, 0.4}

const (
	// otherwise is the share of masters whose peaks are not like those of the references
	// whatever was done to them, and lie anywhere in these ranges, in dB: made by another hand,
	// or not limited at all.
	// Between 0.08 and 0.3 it makes little difference to what is found; the less, the more a
	// master of another hand is suspected.
	otherwise = 0.1
	// again is the share of what was equalised behind a limiter that went through another one,
	// after which its peaks are as a master's are. Our judgement, no source.
	again     = 0.2
	flatRange = 27.0 // all that is told apart, see leastFlat
	overRange = 4.0  // open pieces have up to 1.5 dB, hard noise 4
)

// favours are, in the order of the ways, by how much likelier the peaks of a track are behind each
// of them than in a master as it came; nil where nothing is known of it.
type favours struct {
	ways []float64
	less bool // the track touches the top less than the references do
}

// telling is how much likelier peaks are from which it is said that they tell of an equaliser.
const telling = 5.0

// of the nth way.
func (f *favours) of(n int) float64 {
	if f == nil {
		return 1
	}
	return f.ways[n]
}

// tell that a cut was made, or a boost turned down, behind the limiter.
func (f *favours) tell(n int) bool { return f != nil && f.less && f.ways[n] >= telling }

// favours of peaks, beside what the references tell.
func (p *predictor) favours(x peaks, m makings) *favours {
	k := m.of(x)
	if k == nil || !x.exist() {
		return nil
	}
	out := make([]float64, len(p.ways))
	for i := range p.ways {
		switch w := &p.ways[i]; {
		case !w.onMaster:
			out[i] = 1
		case w.sign < 0:
			out[i] = again + (1-again)*k.likelier(x, w.move.left[0])
		default:
			out[i] = again + (1-again)*(k.likelier(x, w.move.left[1])+k.likelier(x, turnedDown))/2
		}
	}
	return &favours{out, x.flat < k.flat.centre}
}

// likelier is the ratio of the densities of x with l and without. Where little is flat, little of
// it goes.
func (m *making) likelier(x peaks, l left) float64 {
	share := math.Max(0, math.Pow(10, m.flat.centre/10)-leastFlat)
	flat := FlatDB(detect.Value(share*math.Pow(10, l.flat/10))) - m.flat.centre
	over := math.Max(0, m.over.centre)
	return m.flat.likelier(x.flat, flat, l.flatSpread*math.Min(1, math.Abs(flat/l.flat)), flatRange) *
		m.over.likelier(x.over, over*l.over, over*l.overSpread, overRange)
}

// likelier is the ratio of the densities at x with a shift and without it, e being the share that
// lies anywhere in a range:
//
//	(1-e) N(x - c - shift; s^2 + spread^2) + e / range
//	--------------------------------------------------
//	           (1-e) N(x - c; s^2) + e / range
func (p prediction) likelier(x, shift, spread, within float64) float64 {
	d, anywhere := x-p.centre, otherwise/within
	return ((1-otherwise)*normal(d-shift, math.Hypot(p.spread, spread)) + anywhere) / ((1-otherwise)*normal(d, p.spread) + anywhere)
}

// normal is the density of a normal distribution about 0.
func normal(d, s float64) float64 { return distuv.Normal{Sigma: s}.Prob(d) }
