package live

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"dubgauge/export/browser"
	"dubgauge/library"
)

// sound is a track to synthesise: a sub at 50 Hz, a tone at 1 kHz and noise that
// falls by 3 dB an octave, with peaks well under full scale at gain 0.
type sound struct {
	path    string
	rate    int
	seconds float64
	gain    float64 // dB
	sub     float64 // dB on the sub alone
	top     float64 // dB on the white part of the noise alone, which is what lies above 4 kHz
	click   bool    // a click every half second instead of music
	drums   float64 // kicks, snares and hats at so many BPM instead of music
}

// clickEvery is the time between clicks in seconds; a click is one sample long.
const clickEvery = 0.5

func (s sound) samples(seed uint64) (left, right []float64) {
	n := int(s.seconds * float64(s.rate))
	left, right = make([]float64, n), make([]float64, n)
	if s.click {
		for k := 0; k < n; k += int(clickEvery * float64(s.rate)) {
			left[k], right[k] = 0.5, 0.5
		}
		return left, right
	}
	if s.drums > 0 {
		s.drum(left)
		copy(right, left)
		return left, right
	}
	r := rand.New(rand.NewPCG(seed, 1))
	gain, sub, top := math.Pow(10, s.gain/20), math.Pow(10, s.sub/20), math.Pow(10, s.top/20)
	var a, b [2]float64 // two leaky integrators a channel: a falling spectrum
	for i := range n {
		t := float64(i) / float64(s.rate)
		low := 0.12 * sub * math.Sin(2*math.Pi*50*t)
		tone := 0.03 * math.Sin(2*math.Pi*1000*t)
		for c, out := range [2][]float64{left, right} {
			white := r.NormFloat64()
			a[c] += 0.3 * (white - a[c])
			b[c] += 0.02 * (white - b[c])
			out[i] = gain * fade(n-i, s.rate) * (low + tone + 0.03*a[c] + 0.15*b[c] + top*0.008*white)
		}
	}
	return left, right
}

// drum plays kicks on the beats, snares on every other and hats between them.
func (s sound) drum(x []float64) {
	r := rand.New(rand.NewPCG(1, 1))
	beat := 60 / s.drums
	for i := range x {
		t := float64(i) / float64(s.rate)
		n := int(t / beat)
		in, off := math.Mod(t, beat), math.Mod(t+beat/2, beat)
		kick := math.Sin(2*math.Pi*(50*in+8*(1-math.Exp(-30*in)))) * math.Exp(-8*in)
		snare := float64(n%2) * r.NormFloat64() * math.Exp(-25*in)
		hat := r.NormFloat64() * math.Exp(-40*off)
		x[i] = fade(len(x)-i, s.rate) * (0.6*kick + 0.12*snare + 0.2*hat)
	}
}

// fade is the gain so many samples before the end, over the last second: an end in the
// middle of sound is a fault.
func fade(left, rate int) float64 {
	return math.Min(1, float64(left)/float64(rate))
}

// write makes a 16-bit stereo WAV file of s below dir.
func (s sound) write(t testing.TB, dir string, seed uint64) {
	t.Helper()
	left, right := s.samples(seed)
	writeStereo(t, dir, s, left, right)
}

func writeStereo(t testing.TB, dir string, s sound, left, right []float64) {
	t.Helper()
	data := make([]byte, 0, len(left)*4)
	for i := range left {
		for _, v := range []float64{left[i], right[i]} {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(math.Round(v*32767))))
		}
	}
	le := binary.LittleEndian
	b := append([]byte("RIFF"), le.AppendUint32(nil, uint32(36+len(data)))...)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, 2)
	b = le.AppendUint32(b, uint32(s.rate))
	b = le.AppendUint32(b, uint32(s.rate*4))
	b = le.AppendUint16(b, 4)
	b = le.AppendUint16(b, 16)
	b = append(b, "data"...)
	b = append(le.AppendUint32(b, uint32(len(data))), data...)
	path := filepath.Join(dir, filepath.FromSlash(s.path))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// scriptName would run in a page that does not escape names.
const scriptName = `Dubs/<img src=x onerror=alert(1)> & "quotes" bootleg.wav`

// bag is the library of the browser tests: eight records of which one is quiet,
// and dubs with a defect or none, at two sample rates.
func bag() []sound {
	s := []sound{
		{path: "Dubs/night bus edit.wav", rate: 44100, gain: -4.5},
		{path: "Dubs/tin roof dubplate.wav", rate: 48000, sub: -9},
		{path: "Dubs/plain edit.wav", rate: 44100},
		{path: "loose/nobody knows.wav", rate: 44100, gain: -2},
		{path: scriptName, rate: 44100, gain: 0.2},
	}
	for i, name := range []string{"anchor", "bellows", "copper", "drum", "ember", "ferry", "gravel", "harbour"} {
		rate := 44100 + 3900*(i%2)
		s = append(s, sound{path: "Records/" + name + ".wav", rate: rate, gain: 0.3 * float64(i%3-1), sub: 0.3 * float64(i%2)})
	}
	for i := range s {
		s[i].seconds = 8
	}
	return s
}

// bagged opens a database of its own for the test in which the bag was scanned,
// and returns its path as well. The music is written and scanned once for all
// tests, none of which may change it.
func bagged(t testing.TB) (*library.DB, string) {
	t.Helper()
	packed.once.Do(func() { packed.err = pack(t) })
	if packed.err != nil {
		t.Fatal(packed.err)
	}
	path := filepath.Join(t.TempDir(), "library.db")
	if err := os.WriteFile(path, packed.db, 0o644); err != nil {
		t.Fatal(err)
	}
	return openDB(t, path), path
}

var packed struct {
	once sync.Once
	dir  string
	db   []byte // the closed database
	err  error
}

func pack(t testing.TB) (err error) {
	if packed.dir, err = os.MkdirTemp("", "bag"); err != nil {
		return err
	}
	music, path := filepath.Join(packed.dir, "bag"), filepath.Join(packed.dir, "library.db")
	for i, s := range bag() {
		s.write(t, music, uint64(i))
	}
	db, err := library.Open(context.Background(), path)
	if err != nil {
		return err
	}
	_, err = library.Scan(context.Background(), db, []string{music}, library.ScanOptions{Released: []string{"Records/**"}})
	if err := errors.Join(err, db.Close()); err != nil {
		return err
	}
	packed.db, err = os.ReadFile(path)
	return err
}

// scanned writes sounds as a library and scans it into a database, whose path it
// returns as well.
func scanned(t testing.TB, sounds []sound) (*library.DB, string) {
	t.Helper()
	dir := t.TempDir()
	for i, s := range sounds {
		s.write(t, filepath.Join(dir, "bag"), uint64(i))
	}
	path := filepath.Join(dir, "library.db")
	db := openDB(t, path)
	_, err := library.Scan(t.Context(), db, []string{filepath.Join(dir, "bag")}, library.ScanOptions{Released: []string{"Records/**"}})
	if err != nil {
		t.Fatal(err)
	}
	return db, path
}

func openDB(t testing.TB, path string) *library.DB {
	t.Helper()
	db, err := library.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

// served serves a store on a free port until the test ends, and returns the
// address of its page.
func served(t testing.TB, store Store, opts Options) string {
	t.Helper()
	url, stop := serving(t, store, opts)
	t.Cleanup(stop)
	return url
}

// serving is served with the end in the caller's hand.
func serving(t testing.TB, store Store, opts Options) (url string, stop func()) {
	t.Helper()
	l, err := Listen(context.Background(), 0)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	s := New(store, opts)
	go func() { done <- s.Serve(ctx, l) }()
	ended := false
	url = "http://" + l.Addr().String()
	keys.Store(url, s)
	return url, func() {
		if ended {
			return
		}
		ended = true
		cancel()
		if err := <-done; err != nil {
			t.Errorf("serving ended with: %v", err)
		}
	}
}

// keys are the servers by their address.
var keys sync.Map

// serverAt is the server of an address, or of a page of it.
func serverAt(t testing.TB, url string) *Server {
	t.Helper()
	parts := strings.SplitN(url, "/", 4)
	s, ok := keys.Load(strings.Join(parts[:3], "/"))
	if !ok {
		t.Fatalf("no server at %s", url)
	}
	return s.(*Server)
}

// visit lets the browser in, as the address that the program prints does, and then to the page at url.
func visit(t testing.TB, ctx context.Context, url string) {
	t.Helper()
	host := strings.SplitN(strings.TrimPrefix(url, "http://"), "/", 2)[0]
	browser.Do(t, ctx, browser.Navigate(serverAt(t, url).Address(host)))
	browser.Until(t, ctx, `location.search === "" && document.readyState === "complete"`) // it leads on by itself
	// A load that ends late is not that of the next page: what is there is looked at.
	browser.Do(t, ctx, browser.Navigate("about:blank"))
	browser.Until(t, ctx, `location.href === "about:blank"`)
	browser.Do(t, ctx, browser.Navigate(url))
	browser.Until(t, ctx, `location.href !== "about:blank" && document.readyState === "complete"`)
}

// fetch asks a server for something, with the key.
func fetch(t testing.TB, client *http.Client, url string) (*http.Response, error) {
	r, err := http.NewRequest(http.MethodGet, url, nil)
	if err != nil {
		return nil, err
	}
	r.AddCookie(serverAt(t, url).lock.asCookie())
	return client.Do(r)
}

// named finds a track of the store by the end of its path.
func named(t testing.TB, store Store, path string) library.Track {
	t.Helper()
	tracks, err := store.Tracks(context.Background(), library.TrackOptions{Full: true, IncludeIgnored: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range tracks {
		if x.Path == path {
			return x
		}
	}
	t.Fatalf("no track %q", path)
	return library.Track{}
}

// deleteTrack deletes a row of a database file.
func deleteTrack(path string, id int64) error {
	return change(path, `DELETE FROM tracks WHERE id = ?`, id)
}

// alter changes a database behind the program's back.
func alter(t testing.TB, db *library.DB, query string) {
	t.Helper()
	if err := change(db.Path(), query); err != nil {
		t.Fatal(err)
	}
}

func change(path, query string, args ...any) error {
	raw, err := sql.Open("sqlite", path)
	if err != nil {
		return err
	}
	_, err = raw.Exec(query, args...)
	return errors.Join(err, raw.Close())
}
