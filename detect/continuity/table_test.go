package continuity

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dubgauge/decode"
	"dubgauge/detect/reason"
	"dubgauge/detect/tempo"
)

// track is a clean piece with its beat.
type track struct {
	name string
	x    [][]float32
	rate int
	grid Grid
}

func (t *track) clone() [][]float32 {
	out := make([][]float32, len(t.x))
	for c := range out {
		out[c] = slices.Clone(t.x[c])
	}
	return out
}

// pieces are the files of the folder music in DUBGAUGE_CHECKS.
func pieces(tb testing.TB) []string {
	dir := os.Getenv("DUBGAUGE_CHECKS")
	if dir == "" {
		tb.Skip("DUBGAUGE_CHECKS is not set: no music to plant faults in")
	}
	var out []string
	for _, ext := range []string{"mp3", "flac", "wav"} {
		names, err := filepath.Glob(filepath.Join(dir, "music", "*."+ext))
		if err != nil {
			tb.Fatal(err)
		}
		out = append(out, names...)
	}
	if len(out) == 0 {
		tb.Skip("no music in " + dir)
	}
	slices.Sort(out)
	return out
}

// load decodes a file; most bounds its length in seconds.
func load(tb testing.TB, name string, most float64) *track {
	s, err := decode.Open(context.Background(), name)
	if err != nil {
		tb.Fatal(name, err)
	}
	defer s.Close()
	t := &track{name: filepath.Base(name), rate: s.Info().SampleRate, x: make([][]float32, s.Info().Channels)}
	buf := make([][]float32, len(t.x))
	for c := range buf {
		buf[c] = make([]float32, 4096)
	}
	for {
		n, err := s.Read(buf)
		for c := range buf {
			t.x[c] = append(t.x[c], buf[c][:n]...)
		}
		if err == io.EOF || float64(len(t.x[0])) > most*float64(t.rate) {
			break
		}
		if err != nil {
			tb.Fatal(name, err)
		}
	}
	t.grid = gridOf(t.x, t.rate)
	return t
}

func gridOf(x [][]float32, rate int) Grid {
	m := tempo.New(rate, len(x))
	m.Write(x)
	r := m.Result()
	return Grid{BPM: r.BPM, FirstBeat: r.FirstBeat, Confidence: r.Confidence}
}

func run(x [][]float32, rate int, g Grid) []Finding {
	m := New(rate, len(x))
	rng := rand.New(rand.NewPCG(1, 2))
	block := make([][]float32, len(x))
	for from := 0; from < len(x[0]); {
		n := min(1+rng.IntN(9000), len(x[0])-from)
		for c := range x {
			block[c] = x[c][from : from+n]
		}
		m.Write(block)
		from += n
	}
	return m.Result(g)
}

// lossy takes audio through LAME and this project's decoder.
func lossy(tb testing.TB, x [][]float32, rate, kbps int) [][]float32 {
	dir := tb.TempDir()
	raw, mp3 := filepath.Join(dir, "x.raw"), filepath.Join(dir, "x.mp3")
	b := make([]byte, 0, 4*len(x[0]))
	for i := range x[0] {
		for c := range 2 {
			v := int16(max(-32768, min(32767, math.Round(float64(x[c%len(x)][i])*32768))))
			b = append(b, byte(v), byte(v>>8))
		}
	}
	if err := os.WriteFile(raw, b, 0o600); err != nil {
		tb.Fatal(err)
	}
	out, err := exec.Command("lame", "--quiet", "-r", "-s", fmt.Sprint(float64(rate)/1000), "--bitwidth", "16", "-m", "j",
		"-b", fmt.Sprint(kbps), raw, mp3).CombinedOutput()
	if err != nil {
		tb.Fatalf("lame: %v: %s", err, out)
	}
	s, err := decode.Open(context.Background(), mp3)
	if err != nil {
		tb.Fatal(err)
	}
	defer s.Close()
	y := make([][]float32, 2)
	buf := [][]float32{make([]float32, 4096), make([]float32, 4096)}
	for {
		n, err := s.Read(buf)
		for c := range y {
			y[c] = append(y[c], buf[c][:n]...)
		}
		if err != nil {
			return y
		}
	}
}

// fault is planted in a piece; it returns what must be found and about where, in
// seconds, NaN for no place. No kind: there is nothing to find.
type fault struct {
	name  string
	lossy bool // it is looked for after an encoder too
	plant func(p *planter) (reason.Kind, float64)
}

// planter has the audio to plant in.
type planter struct {
	*track
	y   [][]float32
	rng *rand.Rand
}

// loudPlace picks a place where the 50 ms on both sides of length samples sound within
// 15 dB of the whole: a hole in a pause is none.
func (p *planter) loudPlace(length int) int {
	side := p.rate / 20
	n := len(p.y[0])
	whole := 0.0
	for c := range p.y {
		whole += power(p.y[c])
	}
	for range 2000 {
		at := side + p.rng.IntN(max(1, n-length-2*side))
		l, r := 0.0, 0.0
		for c := range p.y {
			l += power(p.y[c][at-side : at])
			r += power(p.y[c][min(n-side, at+length):][:side])
		}
		if decibels(min(l, r)) > decibels(whole)-15 && decibels(min(l, r)) > -35 {
			return at
		}
	}
	return -1
}

// offBeat picks one that is nowhere near a half beat.
func (p *planter) offBeat(length int) int {
	for range 100 {
		at := p.loudPlace(length)
		if at < 0 || !p.grid.known() || p.grid.off(float64(at)/float64(p.rate), 2) > 0.025 {
			return at
		}
	}
	return -1
}

func (p *planter) samples(s float64) int { return int(s * float64(p.rate)) }
func (p *planter) time(at int) float64   { return float64(at) / float64(p.rate) }

func zeroFor(seconds float64, channels ...int) func(*planter) (reason.Kind, float64) {
	return func(p *planter) (reason.Kind, float64) {
		n := p.samples(seconds)
		at := p.loudPlace(n)
		if at < 0 {
			return "", 0
		}
		if channels == nil {
			channels = []int{0, 1}
		}
		for _, c := range channels {
			clear(p.y[c%len(p.y)][at:min(len(p.y[0]), at+n)])
		}
		if len(channels) == 1 && seconds >= deadLeast && len(p.y) == 2 {
			return reason.DeadPart, p.time(at)
		}
		return reason.Hole, p.time(at)
	}
}

var planted = []fault{
	{"hole of 1.5 ms", false, zeroFor(0.0015)},
	{"hole of 5 ms", false, zeroFor(0.005)},
	{"hole of 20 ms", false, zeroFor(0.020)},
	{"hole of 100 ms", false, zeroFor(0.100)},
	{"hole of 0.3 s", true, zeroFor(0.3)},
	{"hole of 1 s", true, zeroFor(1)},
	{"hole of 8 s", true, zeroFor(8)},
	{"hole of 64 KiB", false, zeroFor(65536.0 / 4 / 44100)},
	{"hole of 1 s with dither", false, func(p *planter) (reason.Kind, float64) {
		k, at := zeroFor(1)(p)
		for c := range p.y {
			for i := range p.samples(1) {
				if j := p.samples(at) + i; k != "" && j < len(p.y[c]) && p.y[c][j] == 0 {
					p.y[c][j] = float32(math.Round(p.rng.Float64()-p.rng.Float64())) / 32768
				}
			}
		}
		return k, at
	}},
	{"hole of 100 ms, one channel", false, zeroFor(0.1, 1)},
	{"one channel dead for 1 s", true, zeroFor(1, 0)},
	{"one channel dead for 8 s", true, zeroFor(8, 1)},
	{"one channel dead from the middle", true, func(p *planter) (reason.Kind, float64) {
		at := p.loudPlace(0)
		if at < 0 || at > len(p.y[0])-2*p.rate || len(p.y) < 2 {
			return "", 0
		}
		clear(p.y[1][at:])
		return reason.DeadPart, p.time(at)
	}},
	{"zeros to the end", true, func(p *planter) (reason.Kind, float64) {
		at := p.offBeat(0)
		if at < 0 || at > len(p.y[0])-2*p.rate {
			return "", 0
		}
		for c := range p.y {
			clear(p.y[c][at:])
		}
		return reason.HoleEnd, p.time(at)
	}},
	{"cut start", true, func(p *planter) (reason.Kind, float64) {
		at := p.offBeat(0)
		if at < 0 || at > len(p.y[0])-5*p.rate {
			return "", 0
		}
		for c := range p.y {
			p.y[c] = p.y[c][at:]
		}
		p.moved(at)
		return reason.CutStart, 0
	}},
	{"cut end", true, func(p *planter) (reason.Kind, float64) {
		at := p.offBeat(0)
		if at < 5*p.rate {
			return "", 0
		}
		for c := range p.y {
			p.y[c] = p.y[c][:at]
		}
		return reason.CutEnd, p.time(at)
	}},
	{"cut fade", true, func(p *planter) (reason.Kind, float64) {
		n := p.samples(8)
		at := p.offBeat(n)
		if at < 5*p.rate || len(p.y[0]) < at+n {
			return "", 0
		}
		down := 20 + 15*p.rng.Float64()
		for c := range p.y {
			p.y[c] = p.y[c][:at+n]
			for i := range n {
				p.y[c][at+i] *= float32(math.Pow(10, -down/20*float64(i)/float64(n)))
			}
		}
		return reason.CutFade, p.time(at + n)
	}},
	{"128 KiB of noise", false, func(p *planter) (reason.Kind, float64) {
		at := p.loudPlace(32768)
		if at < 0 {
			return "", 0
		}
		for c := range p.y {
			for i := range min(32768, len(p.y[c])-at) {
				p.y[c][at+i] = float32(p.rng.IntN(65536)-32768) / 32768
			}
		}
		return reason.Foreign, p.time(at)
	}},
	{"64 KiB of text", false, func(p *planter) (reason.Kind, float64) {
		at := p.loudPlace(16384)
		if at < 0 {
			return "", 0
		}
		text := "the quick brown fox jumps over 0123456789 lazy dogs,\n\t<tag key=\"x\">and so on</tag>\n"
		char := func() int { return int(text[p.rng.IntN(len(text))]) }
		for c := range p.y {
			for i := range min(16384, len(p.y[c])-at) {
				p.y[c][at+i] = float32(char()|char()<<8) / 32768
			}
		}
		return reason.Foreign, p.time(at)
	}},
	{"128 KiB of MP3 data", false, func(p *planter) (reason.Kind, float64) { return alienBytes(p, 32768) }},
	{"right 2.5 dB down", true, gainFor(-2.5, 0)},
	{"left 6 dB down", true, gainFor(-6, 0)},
	{"right 3 dB down for 20 s", true, gainFor(-3, 20)},
	{"right inverted for 8 s", true, func(p *planter) (reason.Kind, float64) {
		n := p.samples(8)
		at := p.loudPlace(n)
		if at < 0 || len(p.y) < 2 || at+n > len(p.y[0]) {
			return "", 0
		}
		for i := range n {
			p.y[1][at+i] *= -1
		}
		return reason.PolarityPart, p.time(at)
	}},
	{"right 1 sample late", true, lateBy(1)},
	{"right 20 samples late", true, lateBy(20)},
	{"left 77 samples late", true, lateBy(-77)},
	{"100 ms twice", false, twice(0.1)},
	{"0.7 s twice", false, twice(0.7)},
	{"cluster of 32 KiB twice", false, func(p *planter) (reason.Kind, float64) {
		at := p.offBeat(8192)
		if at < 8192 || at+8192 > len(p.y[0]) {
			return "", 0
		}
		for c := range p.y {
			copy(p.y[c][at:at+8192], p.y[c][at-8192:at])
		}
		return reason.Repeat, p.time(at)
	}},
}

// moved tells that the track lost samples at its start.
func (p *planter) moved(samples int) {
	t := *p.track
	t.grid.FirstBeat -= p.time(samples)
	p.track = &t
}

func gainFor(db, seconds float64) func(*planter) (reason.Kind, float64) {
	return func(p *planter) (reason.Kind, float64) {
		if len(p.y) < 2 {
			return "", 0
		}
		g, kind, at, to := float32(math.Pow(10, db/20)), reason.WeakChannel, 0, len(p.y[0])
		c := 1
		if db < -5 {
			c = 0
		}
		when := math.NaN()
		if seconds > 0 {
			n := p.samples(seconds)
			at = p.loudPlace(n)
			if at < 0 || at+n > to || 3*n > to {
				return "", 0
			}
			to, kind, when = at+n, reason.WeakPart, p.time(at)
		}
		for i := at; i < to; i++ {
			p.y[c][i] *= g
		}
		return kind, when
	}
}

func lateBy(n int) func(*planter) (reason.Kind, float64) {
	return func(p *planter) (reason.Kind, float64) {
		if len(p.y) < 2 {
			return "", 0
		}
		c := 1
		if n < 0 {
			c, n = 0, -n
		}
		p.y[c] = append(make([]float32, n), p.y[c][:len(p.y[c])-n]...)
		if n <= delaySmall {
			return reason.DelaySmall, math.NaN()
		}
		return reason.Delay, math.NaN()
	}
}

func twice(seconds float64) func(*planter) (reason.Kind, float64) {
	return func(p *planter) (reason.Kind, float64) {
		n := p.samples(seconds * (0.8 + 0.4*p.rng.Float64()))
		at := p.offBeat(n)
		if at < n || at+n > len(p.y[0]) {
			return "", 0
		}
		for c := range p.y {
			p.y[c] = slices.Insert(p.y[c], at, p.y[c][at-n:at]...)
		}
		return reason.Repeat, p.time(at)
	}
}

// alienBytes writes compressed data, as bytes of 16 bit samples.
func alienBytes(p *planter, n int) (reason.Kind, float64) {
	at := p.loudPlace(n)
	if at < 0 {
		return "", 0
	}
	// What an encoder leaves is as good as random but for a header every few hundred
	// bytes.
	for i := range min(n, len(p.y[0])-at) {
		for c := range p.y {
			v := int16(p.rng.IntN(65536) - 32768)
			if (4*i)%417 < 4 {
				v = -1125
			}
			p.y[c][at+i] = float32(v) / 32768
		}
	}
	return reason.Foreign, p.time(at)
}

// lookalikes are what music does and what must not be taken for a fault.
var lookalikes = []fault{
	{"as it is", true, func(p *planter) (reason.Kind, float64) { return "", 0 }},
	{"hard stop of a bar", true, stopOf(4, 0, false)},
	{"hard stop of a beat", true, stopOf(1, 0, false)},
	{"hard stop with a tail", true, stopOf(4, 0.15, false)},
	{"stop of a bar, edges of 5 ms", true, stopOf(4, 0.002, false)},
	{"stop to the end of the bar, off the bar", true, stopOf(1.5, 0, false)},
	{"gate of sixteenths", false, func(p *planter) (reason.Kind, float64) {
		if !p.grid.known() {
			return "", 0
		}
		for c := range p.y {
			for i := range p.y[c][:max(0, p.beatNear(20))] {
				if math.Mod(p.time(i)-p.grid.FirstBeat+100*p.grid.beat(), p.grid.beat()/4) > 0.6*p.grid.beat()/4 {
					p.y[c][i] = 0
				}
			}
		}
		return "", 0
	}},
	{"starts on the beat", true, func(p *planter) (reason.Kind, float64) {
		at := p.beatNear(10)
		if at < 0 {
			return "", 0
		}
		for c := range p.y {
			p.y[c] = p.y[c][at:]
		}
		p.moved(at)
		return "", 0
	}},
	{"ends on the beat", true, func(p *planter) (reason.Kind, float64) {
		at := p.beatNear(p.time(len(p.y[0])) - 10)
		if at < 0 {
			return "", 0
		}
		for c := range p.y {
			p.y[c] = p.y[c][:at]
		}
		return "", 0
	}},
	{"fade of 8 s", true, func(p *planter) (reason.Kind, float64) {
		n := min(p.samples(8), len(p.y[0]))
		for c := range p.y {
			for i := range n {
				p.y[c][len(p.y[c])-1-i] *= float32(i) / float64ish(n)
			}
		}
		return "", 0
	}},
	{"fade in", true, func(p *planter) (reason.Kind, float64) {
		n := min(p.samples(4), len(p.y[0]))
		for c := range p.y {
			for i := range n {
				p.y[c][i] *= float32(i) / float64ish(n)
			}
		}
		return "", 0
	}},
	{"noise of a record before it", true, func(p *planter) (reason.Kind, float64) {
		n := p.samples(4)
		for c := range p.y {
			z := make([]float32, n)
			for i := range z {
				z[i] = float32(0.004 * p.rng.NormFloat64())
			}
			p.y[c] = append(z, p.y[c]...)
		}
		p.moved(-n)
		return "", 0
	}},
	{"loop of a bar", false, func(p *planter) (reason.Kind, float64) {
		at := p.beatNear(20)
		n := int(math.Round(4 * p.grid.beat() * float64(p.rate)))
		if at < 0 || at+2*n > len(p.y[0]) {
			return "", 0
		}
		for c := range p.y {
			copy(p.y[c][at+n:at+2*n], p.y[c][at:at+n])
		}
		return "", 0
	}},
	{"stutter of sixteenths", false, func(p *planter) (reason.Kind, float64) {
		at := p.beatNear(20)
		n := int(math.Round(p.grid.beat() / 4 * float64(p.rate)))
		if at < 0 || at+4*n > len(p.y[0]) {
			return "", 0
		}
		for c := range p.y {
			for k := range 3 {
				copy(p.y[c][at+(k+1)*n:at+(k+2)*n], p.y[c][at:at+n])
			}
		}
		return "", 0
	}},
	{"one instrument late", true, func(p *planter) (reason.Kind, float64) {
		if len(p.y) < 2 {
			return "", 0
		}
		n := p.samples(0.012)
		l := slices.Clone(p.y[0])
		for i := n; i < len(l); i++ { // a pad from what lies above the bass
			v := 0.5 * (l[i-n] - l[max(0, i-n-40)])
			p.y[1][i] += v
		}
		return "", 0
	}},
	{"widened", true, func(p *planter) (reason.Kind, float64) {
		if len(p.y) < 2 {
			return "", 0
		}
		for i, l := range p.y[0] {
			s := 0.5 * (l - p.y[1][i])
			p.y[0][i] += 0.8 * s
			p.y[1][i] -= 0.8 * s
		}
		return "", 0
	}},
}

func float64ish(n int) float32 { return float32(n) }

// beatNear is the sample of the first bar line after a time, -1 without a grid.
func (p *planter) beatNear(t float64) int {
	if !p.grid.known() {
		return -1
	}
	bar := 4 * p.grid.beat()
	at := p.samples(p.grid.FirstBeat + math.Ceil((t-p.grid.FirstBeat)/bar)*bar)
	if at < 0 || at+p.rate > len(p.y[0]) {
		return -1
	}
	return at
}

// stopOf silences the music for some beats, from a beat on, with an exponential tail.
func stopOf(beats, tail float64, _ bool) func(*planter) (reason.Kind, float64) {
	return func(p *planter) (reason.Kind, float64) {
		at := p.beatNear(p.time(len(p.y[0])) * (0.2 + 0.6*p.rng.Float64()))
		if at < 0 {
			return "", 0
		}
		to := min(len(p.y[0]), at+int(math.Round(beats*p.grid.beat()*float64(p.rate))))
		for c := range p.y {
			for i := at; i < to; i++ {
				if tail == 0 {
					p.y[c][i] = 0
				} else {
					p.y[c][i] *= float32(math.Exp(-p.time(i-at) / tail))
				}
			}
		}
		return "", 0
	}
}

// count of a row of the table.
type count struct{ n, found, wrong int }

// severe tells whether the kind makes a verdict of check or worse.
func severe(k reason.Kind) bool { return k != reason.DelaySmall && k != reason.CutTail }

// TestTable prints the shares found and falsely found, of faults and look-alikes in
// every piece: DUBGAUGE_TABLE=1 for PCM, DUBGAUGE_TABLE=128 after LAME at so many
// kbit/s.
func TestTable(t *testing.T) {
	how := os.Getenv("DUBGAUGE_TABLE")
	if how == "" {
		t.Skip("DUBGAUGE_TABLE is not set: 1 for PCM, or a bit rate in kbit/s")
	}
	kbps := 0
	fmt.Sscan(how, &kbps)
	most, only := math.Inf(1), os.Getenv("DUBGAUGE_ONLY")
	if only != "as it is" {
		most = 60
	}
	half := os.Getenv("DUBGAUGE_HALF")
	rows := map[string]*count{}
	var order []string
	flagged, tracks := 0, 0
	for i, name := range pieces(t) {
		if half != "" && !strings.HasPrefix(half, fmt.Sprint(i%2)) || strings.HasSuffix(half, "/") && i%10 > 1 {
			continue
		}
		tr := load(t, name, most)
		own := map[reason.Kind]bool{} // what the piece has by itself is counted once
		for _, f := range run(tr.x, tr.rate, tr.grid) {
			own[f.Kind] = true
		}
		for j, f := range append(slices.Clone(lookalikes), planted...) {
			if kbps > 1 && !f.lossy || only != "" && !strings.Contains(f.name, only) {
				continue
			}
			row := rows[f.name]
			if row == nil {
				row = &count{}
				rows[f.name] = row
				order = append(order, f.name)
			}
			p := &planter{track: tr, y: tr.clone(), rng: rand.New(rand.NewPCG(uint64(i), uint64(j)))}
			kind, at := f.plant(p)
			if kind == "" && j >= len(lookalikes) {
				continue
			}
			if kbps > 1 {
				p.y = lossy(t, p.y, p.rate, kbps)
			}
			hit, wrong := judge(run(p.y, p.rate, p.track.grid), kind, at)
			if f.name != "as it is" {
				wrong = slices.DeleteFunc(wrong, func(f Finding) bool { return own[f.Kind] })
			}
			row.n++
			if hit {
				row.found++
			} else if kind != "" && testing.Verbose() {
				t.Logf("%s: %s at %.3f not found: %+v", tr.name, f.name, at, run(p.y, p.rate, p.track.grid))
			}
			if len(wrong) > 0 {
				row.wrong++
				if kind == "" && testing.Verbose() {
					t.Logf("%s %+v: %s: false: %+v", tr.name, tr.grid, f.name, wrong)
				}
			}
			if kind == "" {
				tracks++
				if len(wrong) > 0 {
					flagged++
				}
			}
		}
	}
	for _, name := range order {
		r := rows[name]
		fmt.Printf("%-42s n %4d  found %5.1f %%  false %5.1f %%\n", name, r.n, 100*float64(r.found)/float64(max(1, r.n)), 100*float64(r.wrong)/float64(max(1, r.n)))
	}
	fmt.Printf("clean and look-alike: %d of %d flagged, %.1f %%\n", flagged, tracks, 100*float64(flagged)/float64(max(1, tracks)))
}

// judge tells whether the kind was found near the time, and what else was.
func judge(found []Finding, kind reason.Kind, at float64) (hit bool, wrong []Finding) {
	for _, f := range found {
		switch near := math.IsNaN(at) || math.Abs(f.At-at) < 1.5 || f.At <= at && f.Until >= at; {
		case (f.Kind == kind || kind == reason.CutFade && f.Kind == reason.CutTail) && near:
			hit = true
		case severe(f.Kind):
			wrong = append(wrong, f)
		}
	}
	return hit, wrong
}
