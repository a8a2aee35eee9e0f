//go:build unix

package library

import (
	"context"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
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
	rep, _ := scanCounted(t, db, ScanOptions{}, dir)
	if rep.Total != 0 || len(rep.Problems) != 1 || !strings.Contains(rep.Problems[0].Detail, "not a regular file") {
		t.Errorf("report %+v, want the pipe as a problem", rep)
	}
}
