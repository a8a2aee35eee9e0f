//go:build unix

package scan

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"dubgauge/library/store"
)

// TestPipe: a named pipe is never opened, as that would wait for a writer.
func TestPipe(t *testing.T) {
	dir, db := t.TempDir(), openTemp(t)
	pipe := filepath.Join(dir, "pipe.wav")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	r, err := Measure(context.Background(), pipe)
	if err != nil || r.Error == nil || r.Error.Kind != "unreadable" || r.Error.Detail != errNoFile.Error() {
		t.Errorf("record %+v, error %v", r.Error, err)
	}
	rep, _ := scanCounted(t, db, Options{}, dir)
	if rep.Total != 0 || len(rep.Problems) != 1 || !strings.Contains(rep.Problems[0].Detail, "not a regular file") {
		t.Errorf("report %+v, want the pipe as a problem", rep)
	}
}

// TestReadOnly runs itself as a user who may not write, since root may do all.
func TestReadOnly(t *testing.T) {
	dir, music := t.TempDir(), smallLibrary(t)
	openTo(t, dir)
	path := filepath.Join(dir, "library.db")
	db, err := store.Open(context.Background(), path)
	if err != nil {
		t.Fatal(err)
	}
	scanCounted(t, db, Options{}, music)
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name         string
		file, folder os.FileMode
	}{{"file", 0o444, 0o755}, {"file and folder", 0o444, 0o555}, {"folder", 0o666, 0o555}} {
		t.Run(c.name, func(t *testing.T) {
			if err := errors.Join(os.Chmod(path, c.file), os.Chmod(dir, c.folder)); err != nil {
				t.Fatal(err)
			}
			defer os.Chmod(dir, 0o755)
			out := runChild(t, "readonly", map[string]string{"store.DB": path}, 65534)
			if out != "5 tracks, read-only\n" {
				t.Errorf("child: %s", out)
			}
		})
	}
}

// openTo lets every user reach dir, which the test made.
func openTo(t *testing.T, dir string) {
	for p := dir; len(p) > len(os.TempDir()); p = filepath.Dir(p) {
		if err := os.Chmod(p, 0o755); err != nil {
			t.Fatal(err)
		}
	}
}

// runChild runs this program in a role, as another user when it can, and returns
// what it said.
func runChild(t *testing.T, role string, env map[string]string, uid uint32) string {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	if os.Getuid() == 0 && uid != 0 {
		// The test binary may lie where only root can reach it.
		data, err := os.ReadFile(exe)
		if err != nil {
			t.Fatal(err)
		}
		dir := t.TempDir()
		openTo(t, dir)
		exe = filepath.Join(dir, "child.test")
		if err := os.WriteFile(exe, data, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command(exe)
	cmd.Dir = os.TempDir()
	cmd.Env = append(os.Environ(), "SCAN_TEST_ROLE="+role)
	for k, v := range env {
		cmd.Env = append(cmd.Env, k+"="+v)
	}
	if os.Getuid() == 0 && uid != 0 {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uid, Gid: uid}}
	}
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Errorf("child: %v", err)
	}
	return string(out)
}
