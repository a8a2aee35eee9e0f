package mp3

import (
	"os"
	"strconv"
	"testing"
)

// fullRun is the number of seeds from which on nothing is left out.
const fullRun = 1000

// defaultSeeds is twice the number of damageFiles: two copies of each for every kind
// of damage.
const defaultSeeds = 12

// seeds is how many damaged copies of each kind are tried, from DUBGAUGE_SEEDS. The
// full run takes some minutes, and compares every encoding and every random stream
// too, of which a sample is taken otherwise:
//
//	DUBGAUGE_SEEDS=1000 go test ./decode/mp3 -v -timeout 60m
func seeds(t *testing.T) int {
	t.Helper()
	v := os.Getenv("DUBGAUGE_SEEDS")
	if v == "" {
		return defaultSeeds
	}
	n, err := strconv.Atoi(v)
	if err != nil || n < 1 {
		t.Fatalf("DUBGAUGE_SEEDS is %q, want a number of seeds", v)
	}
	return n
}

// inSample tells whether the ith of a list of cases is run: all are in a full run, one
// of each stride otherwise. Strides share no factor with the lengths of the lists
// that the cases are made of, so that the sample does not keep to some of the entries.
func inSample(t *testing.T, i, stride int) bool {
	t.Helper()
	return i%stride == 0 || seeds(t) >= fullRun
}
