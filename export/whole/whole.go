// Package whole reads the whole records of tracks that were read without them, a batch at
// a time, for sheets and pages: all of a large library would not fit into memory.
package whole

import "dubgauge/library"

// Fill reads into tracks what lists do without: their whole records. nil is for tracks
// that are whole.
type Fill func(tracks []*library.Track) error

// Batch is how many tracks are whole at a time: a record has some 10 KB.
const Batch = 200

// Tracks hands out the tracks in order, each filled. One batch is read while the one
// before is written, and none is kept.
func Tracks(tracks []*library.Track, fill Fill, use func(*library.Track) error) error {
	stop := make(chan struct{})
	batches := make(chan batch)
	defer close(stop)
	go func() {
		defer close(batches)
		for from := 0; from < len(tracks); from += Batch {
			b := filled(tracks[from:min(from+Batch, len(tracks))], fill)
			select {
			case batches <- b:
			case <-stop:
				return
			}
			if b.err != nil {
				return
			}
		}
	}()
	for b := range batches {
		if b.err != nil {
			return b.err
		}
		for i := range b.tracks {
			if err := use(&b.tracks[i]); err != nil {
				return err
			}
		}
	}
	return nil
}

// batch are tracks that were filled, or why they could not be.
type batch struct {
	tracks []library.Track
	err    error
}

// filled copies tracks and fills the copies.
func filled(tracks []*library.Track, fill Fill) (b batch) {
	b.tracks = make([]library.Track, len(tracks))
	these := make([]*library.Track, len(tracks))
	for i, t := range tracks {
		b.tracks[i] = *t
		these[i] = &b.tracks[i]
	}
	if fill != nil {
		b.err = fill(these)
	}
	return b
}
