package external

import (
	"bytes"
	"strings"
	"testing"
)

// ffmpeg gets our environment but for what makes it write reports or colours.
func TestEnvironment(t *testing.T) {
	t.Setenv("FFREPORT", "file=report.log")
	t.Setenv("AV_LOG_FORCE_COLOR", "1")
	t.Setenv("DUBGAUGE_HERE", "yes")
	env := environment()
	for want, n := range map[string]int{"DUBGAUGE_HERE=yes": 1, "AV_LOG_FORCE_NOCOLOR=1": 1, "FFREPORT=": 0, "AV_LOG_FORCE_COLOR": 0} {
		got := 0
		for _, v := range env {
			if strings.HasPrefix(v, want) {
				got++
			}
		}
		if got != n {
			t.Errorf("%s is there %d times, want %d: %v", want, got, n, env)
		}
	}
}

// A line is kept up to its bound, however long it is.
func TestLongLine(t *testing.T) {
	r := newReport("file:/x")
	r.Write(bytes.Repeat([]byte{'a'}, mostLine+100))
	if len(r.line) != mostLine {
		t.Errorf("%d bytes are kept, want %d", len(r.line), mostLine)
	}
	r.Write([]byte("\n[error] next\n"))
	if list := r.list(); len(list) != 1 || list[0].Detail != "ffmpeg: next" {
		t.Errorf("%v", list)
	}
}
