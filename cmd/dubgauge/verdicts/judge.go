package main

import "dubgauge/detect/standout"

// judge says what becomes of a track when the references are those given. A
// library makes one for each set of references and asks it about many tracks.
type judge func(references []*Record) func(*Record) standout.Judgement

// judges by name, for -judge. A new one is tried on the same measurements by
// adding it here.
var judges = map[string]judge{"library": asLibrary}

// asLibrary judges as package library does: a pool in which the references are
// released tracks and the judged track is not.
func asLibrary(references []*Record) func(*Record) standout.Judgement {
	pool := make([]standout.Track, 0, len(references)+1)
	for i, r := range references {
		t := standout.Of(int64(i+1), &r.Measurement, nil)
		t.Reference = true
		pool = append(pool, t)
	}
	j := standout.New(pool, standout.Options{})
	return func(r *Record) standout.Judgement {
		return j.Judge(standout.Of(int64(len(pool)+1), &r.Measurement, nil))
	}
}
