// Package setlist checks a running order from track to track: a set is heard as its
// transitions. It takes figures of tracks (Track) and gives, for an order of them, every
// step (Step) with what stands out in it, one trim a track that levels the whole set
// (Levelling), a better order of the same tracks (Suggestion) and the tracks that would
// follow one best (Followers).
//
// Levels are in LUFS, steps of level in LU, of the low end in dB, tempi in BPM, changes of
// tempo in percent, pitch in semitones or cents, times in seconds, confidences from 0 to 1.
// A number that does not exist is detect.None. Tracks of an order are named by their place
// in it, counted from 0; step i leads from track i to track i+1.
package setlist
