// Package continuity finds what breaks off in the course of a track: holes and
// silence that begins or ends at once, a channel that is dead, weak or upside down for
// a part, a channel that is weak or late in the whole, a start or an end in the middle
// of sound, a fade that is cut, a piece that is there twice, data that is no sound.
//
// A Meter takes the decoded blocks in one pass. It keeps bounded lists of candidates;
// Result decides over them with the beat of the track, as music stops, starts and
// repeats on the beat and a fault does not. Levels are in dBFS, times in seconds from
// the first sample. There is no standard for this: the constants are this project's own.
//
// Limits: holes with blurred edges (after a lossy encoder) are found from 80 ms on and
// with a known beat only; ends are judged with a known beat only. A part that is weak or
// upside down is found where kick and bass are in the middle, not where the low end is
// wide. A repeat is found when it is equal sample by sample and no part of a beat. Swapped
// channels, a skipped piece and another file's audio are not found.
package continuity
