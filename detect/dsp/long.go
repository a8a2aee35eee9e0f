package dsp

// longBlock is how many values a block of a Long holds; a power of two.
const longBlock = 1 << 11

// Long is a list that grows by blocks and is never copied: append holds a long list twice
// while it grows, and up to a quarter more than it needs afterwards. The zero value is
// empty.
type Long[T any] struct {
	blocks [][]T
	n      int
}

// Append adds a value.
func (l *Long[T]) Append(v T) {
	if l.n == len(l.blocks)*longBlock {
		l.blocks = append(l.blocks, make([]T, longBlock))
	}
	l.n++
	*l.At(l.n - 1) = v
}

// Len is the number of values.
func (l *Long[T]) Len() int { return l.n }

// Cap is for how many values there is room.
func (l *Long[T]) Cap() int { return len(l.blocks) * longBlock }

// At is value i, from 0, where it lies.
func (l *Long[T]) At(i int) *T { return &l.blocks[i/longBlock][i%longBlock] }

// Cut keeps the first n values and lets go of the room of the others.
func (l *Long[T]) Cut(n int) {
	l.n = n
	keep := (n + longBlock - 1) / longBlock
	clear(l.blocks[keep:])
	l.blocks = l.blocks[:keep]
}
