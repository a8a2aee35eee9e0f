// Package faults finds what is wrong with a track besides its levels: silence at
// the ends, DC offset, dead or inverted channels, clicks, clipping, the band limit of
// a lossy source inside a lossless file, and formats and names that players stumble
// over. It also makes the fingerprint that finds the same audio under two names.
//
// A Meter takes the decoded blocks in one pass and needs no memory that grows
// with the track, but for bounded lists of places. Levels are in dB relative to
// full scale, frequencies in hertz, times in seconds. Each Kind has its place in
// the verdict: a reason code, a severity, what it does on a big system, what to
// do about it.
//
// There is no standard for most of this; the thresholds are this project's own,
// each with its reason, and are tested with planted faults and with clean
// material. Limits: what a codec smears (clipping) is not seen; a lossy source without
// a band limit (LAME V0, AAC at 256 kbit/s) cannot be told from an original by its
// band limit.
// A lossy encode whose frames cannot be found (AAC; an MP3 that was resampled, as
// one at 96 kbit/s is) gets a note on its band limit only. Of frames lost in dense
// drums about one in five is found. What breaks off over time (holes, channels that
// fail for a part, cut ends) is for package continuity.
package faults
