package standout

import (
	"math"
	"testing"

	"dubgauge/detect/dsp"
)

// Check vectors computed with an independent implementation (Python), which
// prints five decimals.
func TestRobustVectors(t *testing.T) {
	const printed = 0.00005
	for _, c := range []struct {
		name                    string
		x                       []float64
		median, mad, qn, q1, q3 float64
	}{
		{"five", []float64{-8.1, -7.9, -8.4, -7.2, -8.8}, -8.1, 0.5364, 0.74918, -8.4, -7.9},
		{"eight", []float64{-9.1, -8.4, -8.2, -8.0, -7.9, -7.7, -7.5, -4.9}, -7.95, 0.5858, 0.74230, -8.25, -7.65},
		{"ten", []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 100}, 5.5, 4.0288, 3.21614, 3.25, 7.75},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sorted(c.x)
			for _, v := range []struct {
				what      string
				got, want float64
			}{
				{"median", dsp.Quantile(s, 0.5), c.median},
				{"mad", mad(s), c.mad},
				{"qn", qn(c.x), c.qn},
				{"first quartile", dsp.Quantile(s, 0.25), c.q1},
				{"third quartile", dsp.Quantile(s, 0.75), c.q3},
			} {
				if math.Abs(v.got-v.want) > printed {
					t.Errorf("%s = %.5f, want %.5f", v.what, v.got, v.want)
				}
			}
		})
	}
}

func TestRobustOfTooLittle(t *testing.T) {
	if v := dsp.Quantile(nil, 0.5); !math.IsNaN(v) {
		t.Errorf("median of nothing = %v", v)
	}
	if v := qn([]float64{1}); !math.IsNaN(v) {
		t.Errorf("qn of one = %v", v)
	}
	if v := mad([]float64{1}); !math.IsNaN(v) {
		t.Errorf("mad of one = %v", v)
	}
}
