// Package key estimates the musical key of a track: tonic and mode, how sure
// that is, the next best key, the tuning, and what share of the track agrees.
//
// A Meter is written the track's blocks and holds a bounded amount of memory.
// The signal is decimated to 11-22 kHz, tonal peaks are picked against their
// surroundings, kept on a grid of pitch for each few seconds, explained as
// notes with overtones once the tuning is known, folded to the twelve pitch
// classes and compared with published key profiles.
package key
