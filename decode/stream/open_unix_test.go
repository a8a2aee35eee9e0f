//go:build unix

package stream

import (
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A pipe that nobody writes to is refused at once, not waited for.
func TestOpenRegularPipe(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	if err := syscall.Mkfifo(path, 0o600); err != nil {
		t.Skip("this file system has no pipes: " + err.Error())
	}
	done := make(chan error, 1)
	go func() {
		_, _, err := OpenRegular(path)
		done <- err
	}()
	select {
	case err := <-done:
		if err == nil || !strings.Contains(err.Error(), "not a regular file") {
			t.Errorf("a pipe: %v", err)
		}
	case <-time.After(10 * time.Second):
		t.Fatal("waits for a writer")
	}
}
