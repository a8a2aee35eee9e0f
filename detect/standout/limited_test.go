package standout_test

import (
	"context"
	"math"
	"os/exec"
	"path/filepath"
	"testing"

	"dubgauge/decode"
	"dubgauge/decode/need"
	"dubgauge/detect"
)

// What the judge holds to be left of the peaks is what other programs leave: sound of sox, a
// limiter of ffmpeg, filters of sox. A low shelf behind the limiter takes the flat tops away; before it
// the limiter makes others, of a signal that is driven less; a gain takes none.
func TestWhatFiltersLeaveOfPeaks(t *testing.T) {
	sox, ffmpeg, dir := need.Program(t, "sox"), need.Program(t, "ffmpeg"), t.TempDir()
	run := func(program string, args ...string) {
		cmd := exec.Command(program, args...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v: %.300s", program, err, out)
		}
	}
	limit := func(from, to, gain string) {
		run(ffmpeg, "-v", "error", "-y", "-i", from, "-af", "volume="+gain+",alimiter=limit=0.95:attack=2:release=60:level=disabled", "-c:a", "pcm_s24le", to)
	}
	// -R: the same noise each time.
	run(sox, "-R", "-r", "44100", "-n", "-b", "24", "-c", "2", "mix.wav", "synth", "14", "pinknoise", "synth", "14", "sine", "mix", "55", "synth", "14", "square", "amod", "4", "gain", "-3")
	limit("mix.wav", "master.wav", "8dB")
	run(sox, "master.wav", "behind.wav", "bass", "-6", "100")
	run(sox, "master.wav", "down.wav", "gain", "-3")
	run(sox, "mix.wav", "thin.wav", "bass", "-6", "100")
	limit("thin.wav", "before.wav", "9dB")
	flat := func(name string) float64 {
		d, err := decode.Open(context.Background(), filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		m, err := detect.Analyze(context.Background(), d, 1, nil)
		if err != nil || m.Limiting == nil {
			t.Fatalf("%s: %v, %+v", name, err, m.Limiting)
		}
		return 10 * math.Log10(float64(m.Limiting.FlatShare)+0.002)
	}
	master, behind, down, before := flat("master.wav"), flat("behind.wav"), flat("down.wav"), flat("before.wav")
	t.Logf("flat: %.1f dB, behind a low shelf %.1f, turned down %.1f, with the shelf before the limiter %.1f", master, behind, down, before)
	if behind > master-6 || math.Abs(down-master) > 0.5 || before < master-4 {
		t.Errorf("flat: %.1f dB, behind a low shelf %.1f, turned down %.1f, with the shelf before the limiter %.1f", master, behind, down, before)
	}
}
