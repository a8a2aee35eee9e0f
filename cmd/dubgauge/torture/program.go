//go:build unix

package main

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
)

func (t *torture) build() error {
	out, err := exec.CommandContext(t.ctx, "go", "build", "-o", t.program, "./cmd/dubgauge").CombinedOutput()
	if err != nil {
		return fmt.Errorf("building: %w\n%s", err, out)
	}
	return nil
}

func (t *torture) db(name string) string { return filepath.Join(t.dir, name+".db") }

// heldBack is the exit status of a scan that did its work and found something.
const heldBack = 3

// scanning starts a scan.
func (t *torture) scanning(db, music string) (*exec.Cmd, *bytes.Buffer, error) {
	cmd := exec.CommandContext(t.ctx, t.program, "--db", db, "scan", music)
	var said bytes.Buffer
	cmd.Stderr = &said
	return cmd, &said, cmd.Start()
}

// scan runs one to its end.
func (t *torture) scan(db, music string) error {
	cmd, said, err := t.scanning(db, music)
	if err == nil {
		err = done(cmd.Wait())
	}
	if err != nil {
		return fmt.Errorf("scan: %w\n%s", err, said)
	}
	return nil
}

// done lets the exit status pass that a scan with findings has.
func done(err error) error {
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() == heldBack {
		return nil
	}
	return err
}

// fresh scans the music and gives its figures.
func (t *torture) fresh(db string) (map[string]string, error) {
	if err := t.scan(db, t.music); err != nil {
		return nil, err
	}
	return t.figures(db)
}

// passing are the fields that differ from scan to scan.
var passing = []string{"id", "root", "mod_time", "measured_at"}

// figures are the records of a database by path, without what differs from scan to scan.
func (t *torture) figures(db string) (map[string]string, error) {
	cmd := exec.CommandContext(t.ctx, t.program, "--db", db, "list", "--all", "--json")
	var said bytes.Buffer
	cmd.Stderr = &said
	text, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("list: %w\n%s", err, &said)
	}
	all := map[string]string{}
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		var fields map[string]json.RawMessage
		if err := json.Unmarshal(lines.Bytes(), &fields); err != nil {
			return nil, err
		}
		var path string
		if err := json.Unmarshal(fields["path"], &path); err != nil {
			return nil, err
		}
		for _, name := range passing {
			delete(fields, name)
		}
		rest, err := json.Marshal(fields) // in the order of the names
		if err != nil {
			return nil, err
		}
		all[path] = string(rest)
	}
	return all, lines.Err()
}

// same holds a database against the clean scan.
func (t *torture) same(db string) error {
	got, err := t.figures(db)
	if err != nil {
		return err
	}
	if len(got) != len(t.clean) {
		return fmt.Errorf("%d tracks, not %d", len(got), len(t.clean))
	}
	for path, want := range t.clean {
		if got[path] != want {
			return fmt.Errorf("%s has other figures:\n%s\nwant\n%s", path, got[path], want)
		}
	}
	return nil
}

const (
	rate    = 44100
	seconds = 12
)

// makeMusic writes tracks of a kick, a bass and noise, each of its own tempo and key.
func makeMusic(dir string, n int) error {
	for i := range n {
		path := filepath.Join(dir, fmt.Sprintf("Folder %d", i%4), fmt.Sprintf("Track %02d.wav", i))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, track(uint64(i)), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// track is a WAV file, 16 bits, stereo.
func track(seed uint64) []byte {
	r := rand.New(rand.NewPCG(seed, 7))
	beat := 60 / (115 + 25*r.Float64())
	bass := 45 + 20*r.Float64()
	gain := 0.4 + 0.5*r.Float64()
	const bytes = rate * seconds * 4
	b := append([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, 36+bytes)...)
	b = append(b, "WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00\x44\xac\x00\x00\x10\xb1\x02\x00\x04\x00\x10\x00data"...)
	b = binary.LittleEndian.AppendUint32(b, bytes)
	for i := range rate * seconds {
		at := float64(i) / rate
		in := math.Mod(at, beat)
		v := math.Exp(-12*in)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-30*in)))) + 0.4*math.Sin(2*math.Pi*bass*at)
		for range 2 {
			x := gain * (v + 0.2*math.Exp(-30*math.Mod(at+beat/2, beat))*r.NormFloat64())
			b = binary.LittleEndian.AppendUint16(b, uint16(int16(32000*max(-1, min(1, x)))))
		}
	}
	return b
}
