package live

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"dubgauge/library"
	"dubgauge/library/scan"
)

// gate is a file system that lets a scan read so many tracks and no more until it is told to, so
// that a test can look at what a scan shows halfway.
type gate struct {
	scan.FS
	mu    sync.Mutex
	moved *sync.Cond
	seen  map[string]bool
	most  int
}

func newGate(most int) *gate {
	g := &gate{FS: scan.OS, seen: map[string]bool{}, most: most}
	g.moved = sync.NewCond(&g.mu)
	return g
}

// let lets so many tracks pass, counted from the beginning.
func (g *gate) let(most int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.most = most
	g.moved.Broadcast()
}

func (g *gate) Open(path string) (scan.File, error) {
	g.mu.Lock()
	for !g.seen[path] && len(g.seen) >= g.most {
		g.moved.Wait()
	}
	g.seen[path] = true
	g.mu.Unlock()
	return g.FS.Open(path)
}

// gated scans through a gate, one track at a time.
type gated struct {
	Scanner
	db *library.DB
	g  *gate
}

func (s gated) Scan(ctx context.Context, dirs []string, o library.ScanOptions) (library.Report, error) {
	o.FS, o.Workers, o.Released = s.g, 1, []string{"Records/**"}
	return library.Scan(ctx, s.db, dirs, o)
}

// stick is a medium with music that can be pulled out and put back.
type stick struct {
	t      *testing.T
	dir    string // where it is mounted
	kept   string // where its files are meanwhile
	mounts bool   // by real mounts
	mu     sync.Mutex
	in     bool
}

// newStick plugs in a stick with these sounds: a mount where that is allowed, else a folder that
// is renamed.
func newStick(t *testing.T, sounds []sound) *stick {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	s := &stick{t: t, dir: filepath.Join(dir, "GIG"), kept: filepath.Join(dir, "files")}
	for i, x := range sounds {
		x.write(t, s.kept, uint64(i))
	}
	if runtime.GOOS == "linux" && os.Geteuid() == 0 && os.Mkdir(s.dir, 0o755) == nil {
		s.mounts = exec.Command("mount", "--bind", s.kept, s.dir).Run() == nil
	}
	if s.mounts {
		t.Cleanup(func() { _ = exec.Command("umount", "-l", s.dir).Run() })
		s.in = true
		return s
	}
	t.Log("no mounts can be made here: a folder that is renamed stands for one")
	_ = os.Remove(s.dir)
	s.plug()
	return s
}

// pull takes the stick out, whatever is open on it.
func (s *stick) pull() {
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	var err error
	if s.in = false; s.mounts {
		err = exec.Command("umount", "-l", s.dir).Run()
	} else {
		err = os.Rename(s.dir, s.kept)
	}
	if err != nil {
		s.t.Fatal(err)
	}
}

// plug puts it back.
func (s *stick) plug() {
	s.t.Helper()
	s.mu.Lock()
	defer s.mu.Unlock()
	var err error
	if s.in = true; s.mounts {
		err = exec.Command("mount", "--bind", s.kept, s.dir).Run()
	} else {
		err = os.Rename(s.kept, s.dir)
	}
	if err != nil {
		s.t.Fatal(err)
	}
}

// media is what the system says is mounted; without mounts, what it would say.
func (s *stick) media() ([]library.Medium, error) {
	if s.mounts {
		return library.Media()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.in {
		return []library.Medium{{Dir: s.dir, Removable: true}}, nil
	}
	return nil, nil
}

// dubs are the tracks of the bag that are not records.
func dubs(sounds []sound) (n int) {
	for _, s := range sounds {
		if strings.HasPrefix(s.path, "Dubs/") {
			n++
		}
	}
	return n
}
