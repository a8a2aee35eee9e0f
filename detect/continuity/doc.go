// Package continuity finds what breaks off in the course of a track: holes and
// silence that begins or ends at once, a channel that is dead, weak or upside down for
// a part, a channel that is weak or late in the whole, channels that change sides for a
// part, a start or an end in the middle of sound, a fade that is cut, a piece that is
// there twice or not at all, data that is no sound.
//
// A Meter takes the decoded blocks in one pass. It keeps bounded lists of candidates;
// Result decides over them with the beat of the track, as music stops, starts, jumps and
// repeats on the beat and a fault does not. Levels are in dBFS, times in seconds from
// the first sample. There is no standard for this: the constants are this project's own.
//
// Where one channel turns upside down or drops, or the channels change sides, within a
// sample, linear prediction over that place fails without the gain and not with it, while
// it goes on in the other channel, or in the sum. It is looked for where the difference of
// the channels jumps and nothing else does within some milliseconds (linear prediction
// across edits: Godsill and Rayner, Digital Audio Restoration, 1998, ch. 5). Where the channels
// change sides the prediction from behind must say so too, in a track that has other edits.
//
// Limits: holes with blurred edges (after a lossy encoder) are found from 80 ms on, of those
// that are filled with noise few; noise above -46 dBFS, or for under 17 ms or over 4 s, fills none. With no known beat nothing is said of jumps, and starts
// and repeats are worth a note only. A cut that falls on a beat by chance, one of 13, is taken for
// the music's; at the start and the end it is a note where the bars are known and none begins
// there, but for starts where a drum begins, which have no sample that tells. A part that is weak or upside down is, after a lossy encoder or where
// hats of both sides cover its edges, not found in music whose balance wanders by as much, or
// whose channels have little in common. A repeat is found when it is equal sample by sample
// and no part of a beat, a jump of the beat by 8.5 ms and more, or 6 in a rhythm of machines, where
// that is steady for 12 s on both sides or on one, or in all that lies before and behind; not in music whose beat moves by
// a third as much elsewhere. Channels that change sides are found, but for their edges, only
// where the mix leans audibly to one side and not to and fro. Another file's audio is not
// found, unless it is noise or moves the beat.
package continuity
