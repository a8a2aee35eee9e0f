package standout

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/stat/distuv"
)

// A cut-off says how many spreads from its references a track may lie. The spread is
// that of a prediction: how far another master of their kind would lie, given how few
// they are and how much records of one kind differ in general. It follows a t
// distribution, so a chance turns into a cut-off without a table.
//
// The promise is for a track, over all that is judged: at most 5 % of clean tracks of
// the references' kind get "check" or worse, at most 1 % "hold back". The chances below
// share that out; how much of it the correlations leave was measured on the fitting
// half of the bench's masters, for 5 to 60 references (see the README's table for the
// other half).
const (
	levelChance = 0.012
	levelHold   = 0.002
	monoChance  = 0.004
	monoHold    = 0.001
	peakChance  = 0.004
	// Every move has the same chance; there are six, which overlap. With few
	// references the t distribution promises more than it must, since the prior
	// fits: toneFew/n is added.
	toneChance = 0.006
	toneFew    = 0.020
	toneHold   = 0.0012
)

// MinGroup is the smallest group that is not replaced by fixed values, unless it was
// named by hand.
const MinGroup = 5

// cut is a chance and the degrees of freedom that it is for.
type cut struct{ chance, dof float64 }

// cutoffs holds those that were worked out.
var cutoffs sync.Map

// mostDOF: with more, the distribution is normal.
const mostDOF = 200

// cutoff is the number of spreads that a prediction with dof degrees of freedom passes,
// to either side, with this chance.
func cutoff(chance, dof float64) float64 {
	dof = math.Min(math.Max(1, math.Round(dof)), mostDOF)
	key := cut{chance, dof}
	if c, ok := cutoffs.Load(key); ok {
		return c.(float64)
	}
	c := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(1 - chance/2)
	cutoffs.Store(key, c)
	return c
}
