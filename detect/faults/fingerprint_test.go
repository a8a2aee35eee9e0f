package faults

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
)

func printOf(x [][]float32) string { return run(wav(44100, 2), x).Fingerprint }

func TestSameAudioAcrossCodecsAndGain(t *testing.T) {
	var prints []string
	for seed := range uint64(2) {
		x := quantise(piece(seed+100), rand.New(rand.NewPCG(seed, 4)))
		own := printOf(x)
		prints = append(prints, own)
		if own == "" || len(own) >= 1000+fineSnippets*fineSamples {
			t.Fatalf("a fingerprint of %d characters", len(own))
		}
		quiet := each(func(v float32) float32 { return v * 0.7 })(clone(x))
		if !sameAudio(own, printOf(quiet)) {
			t.Errorf("seed %d: 3 dB down is other audio", seed)
		}
		late := [][]float32{append(make([]float32, 1105), x[0]...), append(make([]float32, 1105), x[1]...)}
		if !sameAudio(own, printOf(late)) {
			t.Errorf("seed %d: with an encoder's delay it is other audio", seed)
		}
		short := [][]float32{x[0][:len(x[0])-44100], x[1][:len(x[1])-44100]}
		if sameAudio(own, printOf(short)) {
			t.Errorf("seed %d: an edit that is 1 s shorter is the same audio", seed)
		}
		swapped := clone(x)
		for c := range swapped {
			half := len(x[c]) / 2
			copy(swapped[c], x[c][half:])
			copy(swapped[c][half:], x[c][:half])
		}
		if sameAudio(own, printOf(swapped)) {
			t.Errorf("seed %d: an edit in another order is the same audio", seed)
		}
		if seed > 0 {
			continue // the encoders are slow
		}
		path := filepath.Join(t.TempDir(), "x.wav")
		writeWAV(t, path, 44100, x)
		for _, s := range []string{"mp3-128", "mp3-320", "aac-128"} {
			if p := printOf(lossy(t, path, s)); !sameAudio(own, p) {
				t.Errorf("seed %d: through %s it is other audio:\n%s\n%s", seed, s, own, p)
			}
		}
	}
	if sameAudio(prints[0], prints[1]) {
		t.Error("two pieces are the same audio")
	}
	groups := Duplicates([]string{prints[0], "", prints[1], prints[0], "junk", prints[1]})
	if fmt.Sprint(groups) != "[[0 3] [2 5]]" {
		t.Errorf("groups %v", groups)
	}
}

// randomPrint is a fingerprint of five minutes of nothing in particular.
func randomPrint(rng *rand.Rand) string {
	b := []byte("2." + string(printAlphabet[rng.IntN(2)]) + "kAA.VUVUVUVU.")
	b[3] = printAlphabet[rng.IntN(64)]
	b[4] = printAlphabet[rng.IntN(64)]
	b = append(b[:5], b[6:]...)
	for range printMax * features {
		b = append(b, printAlphabet[28+rng.IntN(8)])
	}
	b = append(b, '.')
	for range fineSnippets * fineSamples {
		b = append(b, printAlphabet[rng.IntN(64)])
	}
	return string(b)
}

func BenchmarkDuplicates20000(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	prints := make([]string, 20000)
	for i := range prints {
		prints[i] = randomPrint(rng)
	}
	for b.Loop() {
		Duplicates(prints)
	}
}

// sameAudio tells whether two fingerprints are of the same audio.
func sameAudio(a, b string) bool { return len(Duplicates([]string{a, b})) == 1 }

func FuzzSameAudio(f *testing.F) {
	p := randomPrint(rand.New(rand.NewPCG(1, 1)))
	f.Add(p, p)
	f.Add("2.0.00000000.00000.", "")
	f.Fuzz(func(t *testing.T, a, b string) {
		if sameAudio(a, b) != sameAudio(b, a) {
			t.Error("not symmetric")
		}
		if _, ok := parsePrint(a); ok && !sameAudio(a, a) {
			t.Error("not the same as itself")
		}
	})
}

// Copies, and copies of copies that differ a little, are one group whatever the order;
// what is no fingerprint is in none, however often it comes.
func TestDuplicatesOfDuplicates(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	a, b := randomPrint(rng), randomPrint(rng)
	near := []byte(a)
	at := strings.LastIndexByte(a[:len(a)-fineSnippets*fineSamples-1], '.') + 1
	near[at] = printAlphabet[digit(near[at])+1]
	got := Duplicates([]string{"", b, string(near), a, "junk", "junk", a, "", b, string(near)})
	if want := "[[1 8] [2 3 6 9]]"; fmt.Sprint(got) != want {
		t.Errorf("%v, want %s", got, want)
	}
}

// BenchmarkDuplicates2000Copies is a folder of the same audio.
func BenchmarkDuplicates2000Copies(b *testing.B) {
	p := randomPrint(rand.New(rand.NewPCG(1, 1)))
	prints := make([]string, 2000)
	for i := range prints {
		prints[i] = p
	}
	for b.Loop() {
		Duplicates(prints)
	}
}
