package key

// agree gives stretches that are one another moved the keys that explain all of them best
// together.
func (p *plan) agree(all []held) {
	for from := 0; from < len(all); {
		to, ups := from+1, []int{0}
		for ; to < len(all) && all[to].moved; to++ {
			m := p.moved(all[to-1].first, all[to].first, all[to].last)
			if m.gain < 0 {
				m.up = 0
			}
			ups = append(ups, (ups[len(ups)-1]+m.up)%12)
		}
		if to > from+1 {
			together(all[from:to], ups)
		}
		from = to
	}
}

// together names the keys of stretches that lie so many semitones above the first.
func together(all []held, ups []int) {
	var sum part
	for i := range all {
		down := all[i].part.transposed(12 - ups[i])
		sum.add(&down)
	}
	o := sum.odds()
	k, _ := o.best()
	for i := range all {
		all[i].key, all[i].part = k.Transposed(ups[i]), sum.transposed(ups[i])
	}
}

// transposed is a part so many semitones higher.
func (p *part) transposed(up int) (q part) {
	q.weight, q.chords.entries = p.weight, p.chords.entries
	for i := range p.all {
		q.all[(i+up)%12], q.bass[(i+up)%12] = p.all[i], p.bass[i]
	}
	moved := func(c int) int { return (c%12+up)%12 + c/12*12 }
	for c := range chordCount {
		q.chords.sounding[moved(c)], q.chords.opening[moved(c)] = p.chords.sounding[c], p.chords.opening[c]
		q.chords.entering[moved(c)] = p.chords.entering[c]
		for to, v := range p.chords.moves[c] {
			q.chords.moves[moved(c)][moved(to)] = v
		}
	}
	return q
}
