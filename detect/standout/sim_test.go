package standout

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"dubgauge/detect/dsp"
)

// TestSimulateCutoffs prints the cut-offs of qnCutoffs and madCutoffs anew: run it
// with DUBGAUGE_SIMULATE=200000 (trials a size) in the environment.
func TestSimulateCutoffs(t *testing.T) {
	trials, _ := strconv.Atoi(os.Getenv("DUBGAUGE_SIMULATE"))
	if trials == 0 {
		t.Skip("prints a table; set DUBGAUGE_SIMULATE to the number of trials")
	}
	for _, n := range []int{5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 25, 30, 40, 50, 75, 100, 150, 250} {
		r := rand.New(rand.NewPCG(1, uint64(n)))
		k := make([]float64, trials)
		x := make([]float64, n)
		for i := range k {
			for j := range x {
				x[j] = r.NormFloat64()
			}
			s := sorted(x)
			k[i] = math.Abs(r.NormFloat64()-dsp.Quantile(s, 0.5)) / spread(s)
		}
		slices.Sort(k)
		fmt.Printf("n %d: %.3f / %.3f\n", n, dsp.Quantile(k, 0.95), dsp.Quantile(k, 0.99))
	}
}
