package mp3

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// The independent decoders that streams are compared with. libmad is reached through
// sox, which clips at full scale and leaves out the last frame or two; what is within
// full scale is compared.
var players = map[string]func(t testing.TB, path string, channels int) [][]float32{
	"mpg123": mpg123,
	"ffmpeg": ffmpeg,
	"libmad": libmad,
}

// libmad decodes a file to float with sox.
func libmad(t testing.TB, path string, channels int) [][]float32 {
	t.Helper()
	return planar(run(t, "sox", "-D", "-t", "mp3", path, "-t", "f32", "-"), channels)
}

// streamKind is what of a stream of the writer decides which decoders follow it.
type streamKind struct {
	h         header
	intensity bool
	long      bool // blocks of the long kinds occur
	mixed     bool // mixed blocks occur
	anyOrder  bool // blocks follow each other as no encoder makes them: short ones straight behind normal ones
}

// followers are the decoders that take the streams of a kind as the standard says. Who
// does not, and where:
//
//	mpg123, intensity stereo in mixed blocks: it takes the scale factors of MPEG-2 from
//	the wrong place, and misses the all-zero right channel in MPEG-1.
//	mpg123, mixed blocks of MPEG-2.5: it ends the first region of big_values at band 8
//	of the long blocks; encoders, ffmpeg and the published reference decoder end it at
//	band 3 of the short ones. No standard has MPEG-2.5.
//	ffmpeg 5.1, long blocks at 24 kHz: band 18 starts at line 330 as in the first edition
//	of 13818-3; the corrected one has 332, and so have mpg123 and libmad.
//	ffmpeg, blocks in no order: of a short block straight behind a normal or a stop block
//	it adds less of the overlap than the formula of clause 2.4.3.4.10.3 has; mpg123 and
//	libmad have all.
//	ffmpeg, free format: not read.
//	libmad, intensity stereo: it takes position 0 for the last band of long blocks in
//	MPEG-1, and other gains elsewhere; mpg123 and ffmpeg agree.
//	libmad, mixed blocks of MPEG-2 and 2.5: it loses its place; mpg123 and ffmpeg agree.
//	libmad, free format of frames over 2000 bytes, which are more than it has room for.
//
// What remains for one decoder alone is mixed blocks with intensity stereo, and mixed
// blocks of MPEG-2.5: ffmpeg.
func (k streamKind) followers(freeBytes int) (names []string) {
	if !(k.mixed && (k.h.version == mpeg25 || k.intensity)) {
		names = append(names, "mpg123")
	}
	if !(k.long && k.h.version == mpeg2 && k.h.rateIndex == rate48) && !k.anyOrder && freeBytes == 0 {
		names = append(names, "ffmpeg")
	}
	if !k.intensity && !(k.mixed && k.h.version != mpeg1) && freeBytes <= 2000 {
		names = append(names, "libmad")
	}
	return names
}

// rate48 is the rateIndex of 48 kHz, and of 24 kHz in MPEG-2.
const rate48 = 1

// checkFollowers compares a decoding with those of the decoders, and wants so many of
// them.
func checkFollowers(t *testing.T, path string, names []string, least int) {
	t.Helper()
	if len(names) < least {
		t.Errorf("only %v follow the standard, want %d", names, least)
	}
	for _, name := range names {
		if name == "libmad" {
			checkLibmad(t, path)
			continue
		}
		checkAgainst(t, path, players[name])
	}
}

// checkLibmad compares what libmad gives of a stream, within full scale.
func checkLibmad(t *testing.T, path string) {
	t.Helper()
	got, _ := ours(t, readFile(t, path))
	want := libmad(t, path, len(got))
	const most = 2*1152 + 100 // samples that sox may leave out
	if missing := len(got[0]) - len(want[0]); missing < 0 || missing > most {
		t.Errorf("%d samples, libmad has %d", len(got[0]), len(want[0]))
	}
	for ch := range want {
		for i := range want[ch] {
			if v := got[ch][i]; v < -1 || v > 1 {
				want[ch][i] = v // libmad's fixed point may turn round there
			}
		}
	}
	rms, largest := difference(got, want)
	if !(rms < fullAccuracyRMS && largest <= fullAccuracyMax) || len(want[0]) < len(got[0])/2 {
		t.Errorf("libmad: RMS difference %.3g, largest %.3g; full accuracy is %.3g and %.3g", rms, largest, fullAccuracyRMS, fullAccuracyMax)
	}
}

// inOrder is every kind of block but the mixed ones, in the order in which encoders
// switch windows.
func inOrder() blockKind {
	last := uint8(blockLong)
	next := [4][2]uint8{blockLong: {blockLong, blockStart}, blockStart: {blockShort, blockShort}, blockShort: {blockShort, blockStop}, blockStop: {blockLong, blockStart}}
	return func(r *rand.Rand) (uint8, bool) {
		last = next[last][r.IntN(2)]
		return last, false
	}
}

func longBlock(*rand.Rand) (uint8, bool) { return blockLong, false }

func shortBlock(*rand.Rand) (uint8, bool) { return blockShort, false }

func mixedBlock(*rand.Rand) (uint8, bool) { return blockShort, true }

// kindOf describes a stream of the writer, whose blocks the other arguments tell.
func (w *streamWriter) kindOf(long, mixed, anyOrder bool) streamKind {
	uses := func(e uint8) bool { return e&extIntensity != 0 }
	return streamKind{w.h, w.h.mode == modeJoint && slices.ContainsFunc(w.ext, uses), long, mixed, anyOrder}
}
