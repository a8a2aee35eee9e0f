package decode

import (
	"encoding/binary"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/need"
)

// TestLowRates refuses what is below 8 kHz by name, in every container that holds such
// rates, and reads what has 8 kHz.
func TestLowRates(t *testing.T) {
	need.Program(t, "ffmpeg")
	raw, _ := binary.Append(nil, binary.LittleEndian, sample16(8000, 2))
	for name, codec := range map[string]string{"t.wav": "pcm_s16le", "t.aiff": "pcm_s16be", "t.flac": "flac", "t.w64": "pcm_s16le", "t.caf": "pcm_s16be"} {
		for _, rate := range []int{1050, 7999, 8000} {
			path := filepath.Join(t.TempDir(), name)
			args := fmt.Sprintf("-loglevel error -f s16le -ar %d -ac 2 -i pipe:0 -c:a %s", rate, codec)
			run(t, raw, "ffmpeg", append(strings.Fields(args), path)...)
			s, err := Open(t.Context(), path)
			if err == nil {
				_, err = drain(s)
				s.Close()
			}
			var e *Error
			refused := errors.As(err, &e) && e.Kind == Unsupported && strings.Contains(e.Detail, fmt.Sprintf("a sample rate of %d Hz, which is no music", rate))
			if refused != (rate < 8000) {
				t.Errorf("%s at %d Hz: %v", name, rate, err)
			}
		}
	}
}
