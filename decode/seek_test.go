package decode

import (
	"io"
	"testing"
)

// Through all that lies around a stream (a file, a tag before it, a container), a place is
// reached to the sample, to and fro, at the end and behind it.
func TestSeekTo(t *testing.T) {
	wav, wavFields := builtWAV()
	rf64, _ := builtRF64()
	aiff, _ := builtAIFF()
	flacFile, flacFields := builtFLAC(t)
	tagged, _ := behindID3(wav, wavFields)
	taggedFLAC, _ := behindID3(flacFile, flacFields)
	mp3File := lame(t, "-b", "128")
	for name, b := range map[string][]byte{
		"WAV": wav, "RF64": rf64, "AIFF": aiff, "FLAC": flacFile, "WAV behind a tag": tagged, "FLAC behind a tag": taggedFLAC,
		"MP3": mp3File, "MP3 in WAV": mp3WAV(mp3File),
	} {
		t.Run(name, func(t *testing.T) {
			s, err := openBytes(t, b, Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			whole, err := drain(s)
			if err != io.EOF {
				t.Fatal(err)
			}
			n := int64(len(whole[0]))
			for _, p := range []int64{n / 2, 3, n/2 + 700, 0, n - 1, n, n + 5, 1} {
				if err := SeekTo(s, p); err != nil {
					t.Fatal(err)
				}
				got, err := drain(s)
				if err != io.EOF {
					t.Fatal(err)
				}
				want := int(max(0, n-p))
				if len(got[0]) != want {
					t.Fatalf("from %d of %d: %d samples, want %d", p, n, len(got[0]), want)
				}
				for c := range got {
					for i, v := range got[c] {
						if w := whole[c][p+int64(i)]; v != w {
							t.Fatalf("from %d: sample %d is %v, want %v", p, i, v, w)
						}
					}
				}
			}
			if SeekTo(s, -1) == nil {
				t.Error("a sample before the first was found")
			}
		})
	}
}

// A stream that cannot seek is read up to the place.
func TestSeekByReading(t *testing.T) {
	b, _ := builtWAV()
	s, err := openBytes(t, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	const p = 5001 // more than a block
	if err := SeekTo(struct{ Stream }{s}, p); err != nil {
		t.Fatal(err)
	}
	got, err := drain(s)
	if err != io.EOF || len(got[0]) != builtFrames-p {
		t.Fatalf("%d samples, %v", len(got[0]), err)
	}
	want := float32(sample16(builtFrames, 2)[2*p]) / 32768
	if got[0][0] != want {
		t.Errorf("the first is %v, want %v", got[0][0], want)
	}
	if err := SeekTo(struct{ Stream }{s}, 10); err != nil {
		t.Errorf("behind the end: %v", err)
	}
}
