package setlist

import (
	"cmp"
	"slices"
)

// Followers are the n tracks of candidates that cost least after t, the cheapest first.
func Followers(t *Track, candidates []Track, n int, o Options) []Follower {
	o = o.filled()
	w := o.costs()
	all := make([]Follower, len(candidates))
	for i := range candidates {
		all[i] = Follower{Index: i, Step: Step{Cost: w.of(t, &candidates[i])}}
	}
	slices.SortStableFunc(all, func(a, b Follower) int { return cmp.Compare(a.Step.Cost.Total, b.Step.Cost.Total) })
	all = all[:min(max(0, n), len(all))]
	for i := range all {
		cost := all[i].Step.Cost
		all[i].Step = stepOf(t, &candidates[all[i].Index])
		all[i].Step.Cost = cost
	}
	return all
}
