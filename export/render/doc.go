// Package render writes copies of tracks with their trims applied, for those who want the
// level in the file: WAV or FLAC of 24 bits with triangular dither, with the tags of the
// track, and beside each copy a note of what was done. The track itself is only read.
//
// What is done to the audio is a chain of stages, each written blocks and giving out
// blocks: a gain, or the limiter of detect/limit with a gain before it. Another stage
// finds its place in chain.
//
// Levels are in LUFS, peaks in dBTP, gains in dB; a mono track counts as it is played (see
// detect.Measurement.PlayedLUFS).
package render
