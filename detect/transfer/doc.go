// Package transfer finds what a turntable, a tape, a cable or a converter has left in a
// recording: clicks of a record, hum of the mains, rumble, hiss and wow.
//
// All of it goes on from end to end, whatever the music does, and that is how it is
// told from music: each is measured where the music is quietest around it, and must be
// there throughout. A Meter takes the decoded blocks in one pass. It keeps a few
// numbers for each 93 ms (hiss), each 0.1 s (hum, wow) and each 0.4 s (rumble), and bounded
// lists of places: about 11 MB an hour, three hours at most; of a longer recording the
// beginning is judged.
//
// Levels are RMS in dBFS, times in seconds, frequencies in hertz, swings of the pitch
// in percent to either side. There is no standard for telling these from music; clicks
// as outliers of a differenced signal are of Vaseghi, Advanced Digital Signal Processing
// and Noise Reduction, ch. 13, and Godsill and Rayner, Digital Audio Restoration (1998),
// ch. 5; floors by minimum statistics are of Martin, IEEE Trans. SAP 9(5), 2001.
//
// Hum is a series of lines that hold their phase from any frame to any other; the music
// on the beat holds its own from beat to beat only, notes drift away from the mains within
// a second, and both are weighed down where they are loud.
//
// A record that is off centre swings the pitch of all and the time of all together: wow is
// looked for in held notes, in two bands, and in what begins on the grid of sixteenths, at
// the speeds of a turntable. Where the beat is steady, notes that waver are no record's.
//
// Rumble is noise that is even from one turn of the record to the next and repeats nowhere;
// what music leaves below 28 Hz comes again with its bars. Clicks of a record know nothing
// of what they must stand over to be found, so that a part of them stands far out.
//
// Limits: what the music covers all the time is not found, and not heard either. A series
// of tones within 0.18 Hz of multiples of 50 or 60 Hz that sounds through a whole track is
// taken for hum, a noise that does for hiss, and an instrument that plays alone and swings
// as a whole for wow. A wow that held notes tell is given as found, which is about half of
// what there is in dense masters, one that the beat tells as it is; the beat tells little
// where players are loose, or where a bar is as long as a turn of the record. Hum is given
// up to 3 dB low. A tone below 28 Hz is not taken for rumble, as music has such, nor is noise
// that a loop of the music drowns there. Clicks in music made of clicks (more than 400 a minute) are not judged.
package transfer
