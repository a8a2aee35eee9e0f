package main

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"strconv"

	"github.com/rogpeppe/go-internal/testscript"
)

// soundFrames is a second and a half of a tone with harmonics, which the files below hold.
const soundFrames = 66150

func wave(i int) float64 {
	t := float64(i) / 44100
	return 0.4*math.Sin(2*math.Pi*60*t) + 0.2*math.Sin(2*math.Pi*440*t) + 0.1*math.Sin(2*math.Pi*3000*t)
}

// oddWAVCommand writes WAV files of forms that decoders stumble over: oddwav FILE FORM.
// Forms: two-data-chunks, low24 (24 bits at the low end of 32, as the header says 24),
// low32 (the same under a header of 32 bits), 24-in-32 (at the high end, as RIFF wants it).
func oddWAVCommand(ts *testscript.TestScript, _ bool, args []string) {
	bits, form := 16, args[1]
	switch form {
	case "low24", "24-in-32":
		bits = 24
	case "low32":
		bits = 32
	case "two-data-chunks":
	default:
		ts.Fatalf("oddwav: no form %s", form)
	}
	var sound []byte
	for i := range soundFrames {
		for range 2 {
			switch form {
			case "two-data-chunks":
				sound = binary.LittleEndian.AppendUint16(sound, uint16(int16(wave(i)*(1<<15))))
			case "24-in-32":
				sound = binary.LittleEndian.AppendUint32(sound, uint32(int32(wave(i)*(1<<23)))<<8)
			default:
				sound = binary.LittleEndian.AppendUint32(sound, uint32(int32(wave(i)*(1<<23))))
			}
		}
	}
	chunks := [][]byte{sound}
	if form == "two-data-chunks" {
		chunks = [][]byte{sound[:len(sound)/2], sound[len(sound)/2:]}
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), riffFile(bits, len(sound)/soundFrames, chunks...), 0o644))
}

// riffFile is a stereo WAV file at 44.1 kHz with a data chunk for each of the parts.
func riffFile(bits, frame int, parts ...[]byte) []byte {
	le := binary.LittleEndian
	body := []byte("WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00")
	body = le.AppendUint32(body, 44100)
	body = le.AppendUint32(body, uint32(44100*frame))
	body = le.AppendUint16(body, uint16(frame))
	body = le.AppendUint16(body, uint16(bits))
	for _, p := range parts {
		body = append(le.AppendUint32(append(body, "data"...), uint32(len(p))), p...)
	}
	return append(le.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// cutCommand copies the beginning of a file: cut FROM TO PERCENT [page]. With page, it
// ends where a page of an Ogg stream does.
func cutCommand(ts *testscript.TestScript, _ bool, args []string) {
	b := []byte(ts.ReadFile(args[0]))
	percent, err := strconv.Atoi(args[2])
	ts.Check(err)
	n := len(b) * percent / 100
	if len(args) > 3 {
		n = bytes.LastIndex(b[:n], []byte("OggS\x00"))
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), b[:n], 0o644))
}

// taggedCommand writes an MP3 file whose tags say different things: tagged FILE FROM
// ID3V2-LABEL APE-ALBUM ID3V1-YEAR ID3V1-TITLE. The title in ID3v2 is Night Bus. FROM is an MP3 file without tags; "" leaves a
// field out.
func taggedCommand(ts *testscript.TestScript, _ bool, args []string) {
	le, be := binary.LittleEndian, binary.BigEndian
	text := func(id, s string) []byte {
		return append(append(be.AppendUint32([]byte(id), uint32(len(s)+1)), 0, 0, 0), s...)
	}
	frames := append(text("TIT2", "Night Bus"), text("TPUB", args[2])...)
	out := append([]byte{'I', 'D', '3', 3, 0, 0, 0, 0, byte(len(frames) >> 7), byte(len(frames) & 0x7f)}, frames...)
	out = append(out, ts.ReadFile(args[1])...)
	item := append(append(le.AppendUint32(nil, uint32(len(args[3]))), 0, 0, 0, 0), "Album\x00"+args[3]...)
	foot := le.AppendUint32([]byte("APETAGEX"), 2000)
	foot = le.AppendUint32(foot, uint32(len(item)+32))
	foot = append(le.AppendUint32(le.AppendUint32(foot, 1), 0), make([]byte, 8)...)
	out = append(append(out, item...), foot...)
	old := make([]byte, 128)
	copy(old, "TAG"+args[5])
	copy(old[93:97], args[4])
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), append(out, old...), 0o644))
}

// atHand is the condition [at-hand:PROGRAM]: where CI=true everything has to be there.
func atHand(name string) bool {
	_, err := exec.LookPath(name)
	return err == nil || os.Getenv("CI") == "true"
}
