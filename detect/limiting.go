package detect

import (
	"encoding/json"
	"math"

	"dubgauge/detect/limit"
	"dubgauge/detect/loudness"
	"dubgauge/detect/truepeak"
)

// Limiting is what a limiter would take off the track; package limit. The lists go
// together: at OverDB[i] dB of gain beyond that which takes the true peak to the ceiling,
// the loudest 30 s lose LossLU[i] of it, and so on.
type Limiting struct {
	OverDB Values `json:"over_db"`
	LossLU Values `json:"loss_lu"`
	P95DB  Values `json:"p95_db"`          // 95 % of the time so much or less is taken off
	Over2  Values `json:"over_2_db_share"` // share of the time with more than 2 dB, 0 to 1
	AtS    Values `json:"at_s"`            // where the second begins in which most is taken off
	// FlatShare is the share of the loudest 30 s that touches the top already, 0 to 1.
	FlatShare Value `json:"flat_share"`
}

// UnmarshalJSON reads the lists; a share that is missing does not exist.
func (l *Limiting) UnmarshalJSON(b []byte) error {
	type plain Limiting
	p := plain{FlatShare: None}
	err := json.Unmarshal(b, &p)
	*l = Limiting(p)
	return err
}

// limitingOf takes what the meters of peak and loudness have found on their way; nil for
// silence.
func limitingOf(loud *loudness.Meter, peak *truepeak.Meter, rate int) *Limiting {
	levels := peak.Levels()
	steps, perSecond := loud.Steps()
	top := math.Pow(10, peak.Result().TruePeak/20)
	f, ok := limit.Expect(&levels, float64(levels.Cell)/float64(rate), top, limit.Energies{Step: steps, PerSecond: perSecond})
	if !ok {
		return nil
	}
	l := &Limiting{FlatShare: rounded(f.FlatShare, 3)}
	for i, r := range f.Rows {
		l.OverDB = append(l.OverDB, Value(limit.OverDBs[i]))
		l.LossLU = append(l.LossLU, rounded(r.LossLU, 2))
		l.P95DB = append(l.P95DB, rounded(r.P95DB, 2))
		l.Over2 = append(l.Over2, rounded(r.Over2, 3))
		l.AtS = append(l.AtS, rounded(r.AtS, 0))
	}
	return l
}

// rounded to so many decimals: a forecast is no better than that.
func rounded(v float64, decimals int) Value {
	unit := math.Pow(10, float64(decimals))
	return Value(math.Round(v*unit)/unit + 0)
}
