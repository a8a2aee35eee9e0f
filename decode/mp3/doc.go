// Package mp3 decodes MPEG Layer III audio into planar float32 blocks.
//
// It follows ISO/IEC 11172-3 (MPEG-1: 32, 44.1 and 48 kHz), ISO/IEC 13818-3
// (MPEG-2 lower sampling frequencies: 16, 22.05 and 24 kHz) and the extension
// known as MPEG-2.5 (8, 11.025 and 12 kHz), which no standard describes and
// which decoders agree on. Where a comment cites a clause without a standard,
// 11172-3 is meant.
//
// The way of a frame through the package, one file a stage:
//
//	input, tags     bytes of the file, without the tags around the audio
//	header, sync    frame headers, and where the next frame starts
//	info            the Xing, Info, LAME and VBRI frame: length, delay, padding
//	sideinfo        how the granules of a frame are coded
//	reservoir       main data, which starts in earlier frames
//	scalefactors    a gain a scale factor band, or an intensity position
//	huffman         quantised lines of the spectrum
//	requantize      the spectrum, float32
//	stereo          mid/side and intensity stereo
//	reorder, alias  short windows to frequency order, alias reduction
//	imdct           18 time slots of 32 subbands
//	synthesis       PCM samples
//	suspect         granules that decode but can't be meant
//	stream, trim    the stream that callers read, cut to the encoder's input
//	convert         one rate and channel count for spliced files
//
// Full scale is 1; samples beyond it are kept. The scratch memory of a decoder
// is allocated when it is opened, about 150 KB, whatever the file's length.
//
// Limits: Layer I and II are refused as unsupported. The CRC is passed over
// where the audio decodes, as many encoders write it wrong. Free format is
// read up to 640 kbit/s.
package mp3
