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
// other half). All chances are for one side.
const (
	// Most of it goes to what is too loud: too quiet are mostly tracks that were turned down,
	// which their peaks tell as well (turnedChance).
	loudChance   = 0.015
	quietChance  = 0.002
	turnedChance = 0.002
	levelHold    = 0.001
	monoChance   = 0.001
	monoHold     = 0.0003
	peakChance   = 0.001
)

// oddsCheck and a little for each reference are the odds that an equaliser has been at a track
// from which it is said, oddsHold those that may hold it back: of tracks drawn from the prior
// some 3 % and 0.4 % pass them by chance, with 5 references as with 60
// (TestCleanTracksAreRarelyFlagged). What few references leave open is in the odds already.
const (
	oddsCheck        = 5.0
	oddsPerReference = 0.06
	oddsHold         = 30.0
)

// MinGroup is the smallest group that is not replaced by fixed values, unless it was
// named by hand.
const MinGroup = 5

// cut is a chance and the degrees of freedom that it is for.
type cut struct{ chance, dof float64 }

// quantiles holds those that were worked out.
var quantiles sync.Map

// mostDOF: with more, the distribution is normal.
const mostDOF = 200

// cutoff is the number of spreads that a prediction with dof degrees of freedom passes, to
// one side, with this chance.
func cutoff(chance, dof float64) float64 {
	dof = math.Min(math.Max(1, math.Round(dof)), mostDOF)
	key := cut{chance, dof}
	if c, ok := quantiles.Load(key); ok {
		return c.(float64)
	}
	c := distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile(1 - chance)
	quantiles.Store(key, c)
	return c
}
