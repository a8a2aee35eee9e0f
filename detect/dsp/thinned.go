package dsp

// Thinned is a list of what is measured along a track, in the order of the track, that
// takes no more memory the longer the track is. It holds all up to a number of values; then
// it lets go of every other stretch of them, and takes every other stretch of what follows;
// and so on. What is told by values that lie near each other can go on being told, from
// moments all over the track. The zero value is of no use: call NewThinned.
type Thinned[T any] struct {
	long    Long[T]
	stretch int // values that follow each other
	most    int // values; an even number of stretches
	every   int // one stretch of so many is kept
	offered int
}

// NewThinned makes one that holds at most an even number of stretches of values each.
func NewThinned[T any](stretch, stretches int) *Thinned[T] {
	return &Thinned[T]{stretch: stretch, most: stretch * (stretches + stretches%2), every: 1}
}

// Append offers the next value.
func (t *Thinned[T]) Append(v T) {
	kept := t.offered/t.stretch%t.every == 0
	t.offered++
	if !kept {
		return
	}
	if t.long.Len() == t.most {
		t.halve() // v begins a stretch that is kept after it too
	}
	t.long.Append(v)
}

// halve lets go of every other stretch.
func (t *Thinned[T]) halve() {
	for i := range t.most / 2 {
		*t.long.At(i) = *t.long.At(i + i/t.stretch*t.stretch)
	}
	t.long.Cut(t.most / 2)
	t.every *= 2
}

// Len is the number of values that are held.
func (t *Thinned[T]) Len() int { return t.long.Len() }

// At is value i of those, where it lies.
func (t *Thinned[T]) At(i int) *T { return t.long.At(i) }

// Place says how many values were offered before value i.
func (t *Thinned[T]) Place(i int) int { return i + i/t.stretch*t.stretch*(t.every-1) }

// Runs are the values from one to another, in their order, by runs of values that followed
// each other in the track: each from its first to before its second number.
func (t *Thinned[T]) Runs(from, to int) (runs [][2]int) {
	for from < to {
		last := to
		if t.every > 1 {
			last = min(to, (from/t.stretch+1)*t.stretch)
		}
		runs = append(runs, [2]int{from, last})
		from = last
	}
	return runs
}

// Clear lets go of all values.
func (t *Thinned[T]) Clear() {
	t.long.Cut(0)
	t.every, t.offered = 1, 0
}
