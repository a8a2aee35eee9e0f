package standout

import (
	"dubgauge/detect"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The promise is for a track, over all quantities together: drawn from the same
// distribution as its references, at most 5 % get "check" or worse and 1 % "hold
// back". The balance is drawn with the correlations of the prior, twice and half as
// wide as that.
func TestCleanTracksAreRarelyFlagged(t *testing.T) {
	for _, n := range []int{5, 8, 15, 25, 60} {
		for wide, trials := range map[float64]int{0.5: 600, 1: 3000} {
			r := rand.New(rand.NewPCG(7, uint64(n)))
			flagged, held := 0, 0
			for range trials {
				refs := make([]Track, n)
				for i := range refs {
					refs[i] = random(r, int64(i), wide)
					refs[i].Reference = true
				}
				switch New(refs, Options{}).Judge(random(r, 999, wide)).Verdict {
				case HoldBack:
					held++
					flagged++
				case Check:
					flagged++
				}
			}
			// Three standard errors of the share over the trials.
			for _, c := range []struct {
				what  string
				count int
				most  float64
			}{{"flagged", flagged, 0.05}, {"held back", held, 0.01}} {
				share := float64(c.count) / float64(trials)
				if share > c.most+3*math.Sqrt(c.most*(1-c.most)/float64(trials)) {
					t.Errorf("%d references, spread %.1f: %.1f %% %s", n, wide, 100*share, c.what)
				}
			}
			if wide == 1 && flagged == 0 {
				t.Errorf("%d references: nothing was ever flagged: the trial shows nothing", n)
			}
			t.Logf("%d references, spread %.1f: %.1f %% flagged, %.1f %% held back", n, wide, 100*float64(flagged)/float64(trials), 100*float64(held)/float64(trials))
		}
	}
}

// Where records differ by 1.4 times as much as masters in general, few of them are enough to
// learn that: with 5 and with 15 of them 11 and 8 % are flagged.
func TestWideKindsAreGivenRoom(t *testing.T) {
	const trials, wide = 1000, 1.4
	for references, most := range map[int]float64{5: 0.12, 15: 0.09} {
		r := rand.New(rand.NewPCG(31, uint64(references)))
		flagged := 0
		for range trials {
			refs := make([]Track, references)
			for i := range refs {
				refs[i] = random(r, int64(i), wide)
				refs[i].Reference = true
			}
			if New(refs, Options{}).Judge(random(r, 999, wide)).Verdict != Ready {
				flagged++
			}
		}
		if share := float64(flagged) / trials; share > most {
			t.Errorf("%d references: %.1f %% flagged, at most %.0f %%", references, 100*share, 100*most)
		}
	}
}

// random draws a track as records of one kind differ, so many times as wide.
func random(r *rand.Rand, id int64, wide float64) Track {
	v := func(mean, sd float64) detect.Value { return detect.Value(mean + wide*sd*r.NormFloat64()) }
	return Track{ID: id, BPM: 128, Pattern: fourFloor, Level: v(-7, 0.7), LowEnd: v(2, 2), Sub: v(-4, 3), Bass: v(0, 2),
		Mono: v(-0.5, 0.3), True: v(-0.2, 0.1), DriftPercent: detect.None, Balance: drawn(r, wide)}
}

// priorRoot is the Cholesky factor of the prior's covariance.
var priorRoot = sync.OnceValue(func() *mat.TriDense {
	cov := mat.NewSymDense(tones, nil)
	for i := range tones {
		for j := range i + 1 {
			cov.SetSym(i, j, prior(i, j))
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		panic("the prior is no covariance")
	}
	l := new(mat.TriDense)
	chol.LTo(l)
	return l
})

// drawn is a balance from the prior.
func drawn(r *rand.Rand, wide float64) detect.Balance {
	l := priorRoot()
	var z, effect tone
	for i := range z {
		z[i] = r.NormFloat64()
	}
	for i := range effect {
		for j := range i + 1 {
			effect[i] += l.At(i, j) * z[j]
		}
	}
	return shaped(usual, wide, effect)
}
