package mp3

import (
	"bytes"
	"io"
	"math"
	"testing"
)

// A piece is a frame of a sound file: which bytes it leans on.
type piece struct {
	head, end int // of the frame in the file
	from, to  int // its main data, in the file's main data without headers
	h         header
	side      sideInfo
}

// anatomy takes a sound file apart. body gives the place in the file of every byte
// of main data.
func anatomy(t testing.TB, data []byte) (pieces []piece, body []int) {
	t.Helper()
	f := framer{in: newInput(io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))))}
	for {
		fr, ok := f.next(math.MaxInt64)
		if !ok {
			return pieces, body
		}
		if parseInfo(&fr).present {
			continue
		}
		p := piece{head: int(fr.offset), end: int(fr.offset) + len(fr.data), h: fr.header}
		var buf [64]byte
		copy(buf[:], fr.data[:fr.overhead()])
		r := bitReader{buf: buf[:], pos: 8 * (fr.overhead() - fr.sideInfoBytes()), end: 8 * fr.overhead()}
		if err := p.side.parse(&fr.header, &r); err != nil {
			t.Fatal(err)
		}
		p.from = len(body) - p.side.mainDataBegin
		bits := 0
		for gr := range fr.granules() {
			for ch := range fr.channels() {
				bits += p.side.gr[gr][ch].part23Length
			}
		}
		p.to = p.from + (bits+7)/8
		for i := p.head + fr.overhead(); i < p.end; i++ {
			body = append(body, i)
		}
		pieces = append(pieces, p)
	}
}

// A cleanFile is a sound file, its parts and its decoding.
type cleanFile struct {
	data   []byte
	pieces []piece
	body   []int
	x      [][]float32
	skip   int // samples cut at the start
}

func newCleanFile(t testing.TB, path string) *cleanFile {
	c := &cleanFile{data: readFile(t, path)}
	c.pieces, c.body = anatomy(t, c.data)
	var s interface {
		Read([][]float32) (int, error)
	}
	c.x, _ = ours(t, c.data)
	st, err := Open(io.NewSectionReader(bytes.NewReader(c.data), 0, int64(len(c.data))))
	if err != nil {
		t.Fatal(err)
	}
	s = st
	c.skip = -int(s.(*track).extent.pos)
	return c
}

// samples a frame.
func (c *cleanFile) samples() int { return c.pieces[0].h.samples() }

func (c *cleanFile) rate() int { return c.pieces[0].h.sampleRate() }

// hit tells for every frame whether it or what it leans on has changed bytes, those
// in the spans.
func (c *cleanFile) hit(spans [][2]int) []bool {
	in := func(a, b int) bool {
		for _, s := range spans {
			if a < s[1] && s[0] < b {
				return true
			}
		}
		return false
	}
	hit := make([]bool, len(c.pieces))
	for i, p := range c.pieces {
		hit[i] = in(p.head, p.head+p.h.overhead())
		for k := max(p.from, 0); k < p.to && !hit[i]; k++ {
			hit[i] = in(c.body[k], c.body[k]+1)
		}
	}
	return hit
}
