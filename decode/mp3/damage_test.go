package mp3

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"

	"dubgauge/decode/stream"
)

// A wound is a damaged copy of a file.
type wound struct {
	data  []byte
	spans [][2]int // of the sound file, that are changed or gone
	first int      // frame of the sound file that the copy starts with, if it has lost its tag
	cut   bool     // the start is gone, and with it the tag
}

type damage struct {
	name   string
	breaks bool // it breaks sync or the reservoir, and can't pass unseen
	do     func(r *rand.Rand, c *cleanFile) wound
}

func span(r *rand.Rand, c *cleanFile, longest int) (from, to int) {
	from = c.pieces[0].head + r.IntN(len(c.data)-c.pieces[0].head-1)
	return from, min(from+1+r.IntN(longest), len(c.data))
}

func randomBytes(r *rand.Rand, n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(r.Uint32())
	}
	return b
}

func join(parts ...[]byte) []byte { return bytes.Join(parts, nil) }

// falseSync is junk with a valid header every few hundred bytes.
func falseSync(r *rand.Rand, n int) []byte {
	b := randomBytes(r, n)
	for i := 0; i+4 < n; i += 50 + r.IntN(400) {
		binary.BigEndian.PutUint32(b[i:], 0xFFFB9064)
	}
	return b
}

// id3 makes an ID3v2 tag that states the size, with n bytes of random picture.
func id3(r *rand.Rand, stated, n int) []byte {
	h := []byte{'I', 'D', '3', 3, 0, 0, byte(stated >> 21 & 127), byte(stated >> 14 & 127), byte(stated >> 7 & 127), byte(stated & 127)}
	return append(h, randomBytes(r, n)...)
}

var damages = []damage{
	{"random bytes", false, func(r *rand.Rand, c *cleanFile) wound {
		a, b := span(r, c, 300)
		return wound{data: join(c.data[:a], randomBytes(r, b-a), c.data[b:]), spans: [][2]int{{a, b}}}
	}},
	{"flipped bits", false, func(r *rand.Rand, c *cleanFile) wound {
		w := wound{data: bytes.Clone(c.data)}
		for range 1 + r.IntN(10) {
			a, _ := span(r, c, 1)
			w.data[a] ^= 1 << r.IntN(8)
			w.spans = append(w.spans, [2]int{a, a + 1})
		}
		return w
	}},
	{"zeroed span", true, func(r *rand.Rand, c *cleanFile) wound {
		a, _ := span(r, c, 1)
		b := min(a+2000+r.IntN(6000), len(c.data))
		return wound{data: join(c.data[:a], make([]byte, b-a), c.data[b:]), spans: [][2]int{{a, b}}}
	}},
	{"dropped bytes", true, func(r *rand.Rand, c *cleanFile) wound {
		a, b := span(r, c, 3000)
		return wound{data: join(c.data[:a], c.data[b:]), spans: [][2]int{{a, b}}}
	}},
	{"inserted bytes", true, func(r *rand.Rand, c *cleanFile) wound {
		a, b := span(r, c, 200)
		return wound{data: join(c.data[:a], randomBytes(r, b-a), c.data[a:]), spans: [][2]int{{a - 1, a + 1}}}
	}},
	{"cut start", true, func(r *rand.Rand, c *cleanFile) wound {
		a := 1 + r.IntN(len(c.data)/3)
		w := wound{data: bytes.Clone(c.data[a:]), spans: [][2]int{{0, a}}, cut: true}
		for w.first = 0; c.pieces[w.first].head < a; w.first++ {
		}
		return w
	}},
	{"cut end", true, func(r *rand.Rand, c *cleanFile) wound {
		a := len(c.data)/2 + r.IntN(len(c.data)/2)
		return wound{data: bytes.Clone(c.data[:a]), spans: [][2]int{{a, len(c.data)}}}
	}},
	{"junk in front", true, func(r *rand.Rand, c *cleanFile) wound {
		return wound{data: join(falseSync(r, 1+r.IntN(100000)), c.data)}
	}},
	{"two ID3v2 tags", false, func(r *rand.Rand, c *cleanFile) wound {
		a, b := r.IntN(30000), r.IntN(30000)
		return wound{data: join(id3(r, a, a), id3(r, b, b), c.data)}
	}},
	{"lying ID3v2 size", false, func(r *rand.Rand, c *cleanFile) wound {
		n := r.IntN(200000)
		stated := []int{0, n / 2, n - 1, 1<<28 - 1, n + len(c.data)}[r.IntN(5)]
		return wound{data: join(id3(r, stated, n), c.data)}
	}},
	{"picture of 5 MB", false, func(r *rand.Rand, c *cleanFile) wound {
		stated := 5 << 20
		if r.IntN(2) == 0 {
			stated -= 1 + r.IntN(stated)
		}
		return wound{data: join(id3(r, stated, 5<<20), c.data)}
	}},
	{"junk at the end", false, func(r *rand.Rand, c *cleanFile) wound {
		return wound{data: join(c.data, falseSync(r, 1+r.IntN(20000)))}
	}},
}

// damageFiles are what is damaged: a loud and a quiet piece, with and without
// reservoir, of constant and of variable bit rate.
func damageFiles(t *testing.T) (all []*cleanFile) {
	for _, c := range []struct {
		signal string
		args   []string
	}{
		{"master", []string{"-b", "320"}},
		{"master", []string{"-b", "128", "-m", "j"}},
		{"chords", []string{"-b", "128", "-m", "j", "--scale", "0.1"}},
		{"chords", []string{"-V", "3", "--scale", "0.3"}},
		{"castanets", []string{"-b", "96", "-p"}},
		{"sweep", []string{"-b", "192", "--nores", "--scale", "0.2"}},
	} {
		all = append(all, newCleanFile(t, encode(t, wavFile(t, c.signal, 10*44100, 44100, 2), c.args...)))
	}
	return all
}

const (
	// surviving is the part of the undamaged audio that must come through.
	surviving = 0.99
	// sameTolerance is by how much a sample may differ to be called the same: nothing
	// but rounding.
	sameTolerance = 1e-5
	// burstLimit is 6 dB.
	burstLimit = 2
	// burstFloor keeps bursts under -60 dBFS from counting, in silence.
	burstFloor = 1e-3
	// unseenShare is the part of the copies that may have a burst where no damage was
	// seen: a flipped bit of a gain breaks no rule and no habit.
	unseenShare = 0.03
	// offShare is the part of the copies that may be off in time: where the rest of a file
	// of variable bit rate can't be counted, lost frames are estimated. In 1000 copies 0 to
	// 3 were.
	offShare = 0.005
	// namedShare is the part of the copies whose damage must be named in its place, for kinds
	// that break sync. In 1000 copies 994 to 1000 were; one that falls into the padding at the
	// end may be without effect.
	namedShare = 0.99
	// maxDecodeTime tells a decoder that hardly gets on from a machine that is busy: ten
	// seconds of audio take some 30 ms. It is no measure of speed.
	maxDecodeTime = time.Minute
	// maxDecodeMemory in bytes, all that is ever allocated for a file.
	maxDecodeMemory = 1 << 20
)

type tally struct {
	breaks                                             bool
	seeds, kept, sound, bursts, unseen, shifted, named int
	worst                                              float64
	memory                                             uint64
	slowest                                            time.Duration
}

func TestDamage(t *testing.T) {
	files := damageFiles(t)
	n := seeds(t)
	for _, d := range damages {
		t.Run(d.name, func(t *testing.T) {
			y := tally{worst: 1, breaks: d.breaks}
			for seed := range n {
				r := rand.New(rand.NewPCG(uint64(seed), 77))
				c := files[seed%len(files)]
				y.judge(t, seed, c, d.do(r, c))
			}
			kept := float64(y.kept) / float64(y.sound)
			t.Logf("%d seeds: %.3f %% of the undamaged audio kept (worst %.2f %%), %d bursts (and %d where nothing was seen), %d off in time, %d with the damage named in its place, %d KB, %v",
				y.seeds, 100*kept, 100*y.worst, y.bursts, y.unseen, y.shifted, y.named, y.memory>>10, y.slowest)
			if d.breaks && float64(y.named) < namedShare*float64(y.seeds) {
				t.Errorf("the damage is named in %d of %d copies", y.named, y.seeds)
			}
			if float64(y.shifted) > offShare*float64(y.seeds) {
				t.Errorf("%d copies are off in time", y.shifted)
			}
			if kept < surviving {
				t.Errorf("%.3f %% of the undamaged audio came through, want %v %%", 100*kept, 100*surviving)
			}
			if y.bursts > 0 {
				t.Errorf("%d copies have bursts", y.bursts)
			}
			if float64(y.unseen) > unseenShare*float64(y.seeds) {
				t.Errorf("%d of %d copies have bursts where nothing was seen", y.unseen, y.seeds)
			}
			if y.memory > maxDecodeMemory {
				t.Errorf("a copy took %d bytes of memory", y.memory)
			}
		})
	}
}

// judge decodes a damaged copy and compares it with the sound file.
func (y *tally) judge(t *testing.T, seed int, c *cleanFile, w wound) {
	t.Helper()
	y.seeds++
	got := [][]float32{make([]float32, 2*len(c.x[0])), make([]float32, 2*len(c.x[0]))}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := time.Now()
	n, faults := decodeInto(t, seed, w.data, got)
	spent := time.Since(start)
	runtime.ReadMemStats(&after)
	y.memory = max(y.memory, after.TotalAlloc-before.TotalAlloc)
	y.slowest = max(y.slowest, spent)
	if spent > maxDecodeTime {
		t.Errorf("seed %d: took %v", seed, spent)
	}
	got[0], got[1] = got[0][:n], got[1][:n]
	offset := c.skip // of got in the frames' time
	if w.cut {
		offset = w.first * c.samples()
	}
	kept, sound := c.compare(got, offset, c.hit(w.spans))
	y.kept += kept
	y.sound += sound
	y.worst = min(y.worst, float64(kept)/float64(max(sound, 1)))
	if float64(kept) < 0.8*float64(sound) {
		y.shifted++
		t.Logf("seed %d: shifted: %v of %d; %v", seed, w.spans, len(c.data), faults)
	}
	named := c.named(w, faults, offset)
	y.named += named
	if named == 0 && y.breaks {
		t.Logf("seed %d: not named in its place: %v of %d; %v", seed, w.spans, len(c.data), faults)
	}
	if at, over := c.burst(got, offset); over > burstLimit {
		if !repaired(faults, float64(at)/float64(c.rate())) {
			y.unseen++
			return
		}
		y.bursts++
		t.Logf("seed %d: %.1f dB over the surroundings at %.3f s; spans %v; %v", seed, 20*math.Log10(over), float64(at)/float64(c.rate()), w.spans, faults)
	}
}

// namedWithin is how far, in seconds, the time of a fault may be from the damage:
// main data starts up to 24 frames before the frame that it belongs to.
const namedWithin = 0.7

// named is 1 if a fault has the place of the damage, else 0.
func (c *cleanFile) named(w wound, faults []stream.Error, offset int) int {
	at := 0.0 // where there are no spans, the damage is in front
	if len(w.spans) > 0 && !w.cut {
		f := 0
		for f+1 < len(c.pieces) && c.pieces[f].end <= w.spans[0][0] {
			f++
		}
		at = float64(f*c.samples()-offset) / float64(c.rate())
	}
	for _, e := range faults {
		if math.Abs(e.At-max(at, 0)) < namedWithin || e.At < 0 && at == 0 {
			return 1
		}
	}
	return 0
}

// repairedWithin is how close to a fault, in seconds, a place counts as repaired.
const repairedWithin = 0.1

// repaired tells whether a fault is close to that time.
func repaired(faults []stream.Error, at float64) bool {
	for _, e := range faults {
		if math.Abs(e.At-at) < repairedWithin {
			return true
		}
	}
	return false
}

// decodeInto decodes data into x and returns the length.
func decodeInto(t *testing.T, seed int, data []byte, x [][]float32) (n int, faults []stream.Error) {
	s, err := Open(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))
	if err != nil {
		t.Errorf("seed %d: %v", seed, err)
		return 0, nil
	}
	for n+4096 < len(x[0]) {
		k, err := s.Read([][]float32{x[0][n : n+4096], x[1][n : n+4096]})
		n += k
		if err != nil {
			if !errors.Is(err, io.EOF) {
				t.Errorf("seed %d: %v", seed, err)
			}
			return n, s.Faults()
		}
	}
	t.Errorf("seed %d: more than twice the length of the sound file", seed)
	return n, s.Faults()
}

// compare counts the samples of frames that are not hit, and those of them that
// are the same in got. A frame sounds on in the next one.
func (c *cleanFile) compare(got [][]float32, offset int, hit []bool) (kept, sound int) {
	spf := c.samples()
	for f := range c.pieces {
		if hit[f] || f > 0 && hit[f-1] {
			continue
		}
		for i := f * spf; i < (f+1)*spf; i++ {
			k, j := i-c.skip, i-offset
			if k < 0 || k >= len(c.x[0]) {
				continue
			}
			sound++
			if j >= 0 && j < len(got[0]) && near(got[0][j], c.x[0][k]) && near(got[1][j], c.x[1][k]) {
				kept++
			}
		}
	}
	return kept, sound
}

func near(a, b float32) bool { return math.Abs(float64(a-b)) < sameTolerance }

// burst returns where got is loudest against the sound file's loudest level within
// a quarter of a second, and by which factor, in windows of 6 ms.
func (c *cleanFile) burst(got [][]float32, offset int) (at int, over float64) {
	const window = 256
	reach := c.rate() / 4 / window
	level := func(x [][]float32, i int) float64 {
		s := 0.0
		for ch := range x {
			for k := max(i, 0); k < min(i+window, len(x[ch])); k++ {
				s += float64(x[ch][k]) * float64(x[ch][k])
			}
		}
		return math.Sqrt(s / window)
	}
	clean := make([]float64, len(c.x[0])/window+1)
	for i := range clean {
		clean[i] = level(c.x, i*window)
	}
	for i := 0; i < len(got[0]); i += window {
		k := (i + offset - c.skip) / window
		around := burstFloor
		for j := max(k-reach, 0); j <= min(k+reach, len(clean)-1); j++ {
			around = max(around, clean[j])
		}
		if v := level(got, i) / around; v > over {
			at, over = i, v
		}
	}
	return at, over
}
