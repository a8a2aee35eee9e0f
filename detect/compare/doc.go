// Package compare holds two tracks against each other: two versions of one piece of
// music, or a track and a record. It finds where the one lies in the other, over another
// sample rate, another start and another encoding, matches their levels, and says what was
// done between them: nothing, a gain, an equaliser, a limiter, an encoder, or another mix.
//
// Both are read twice: once for an outline of their levels in eight bands, a hundred times
// a second, which finds the place to some milliseconds; once for short windows of the
// audio, which find it to the sample. Memory is that of the outlines, 115 KB a minute, and
// of the windows.
package compare
