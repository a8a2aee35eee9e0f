package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/go-audio/audio"
	"github.com/go-audio/wav"
	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"dubgauge": main})
}

// TestScripts runs the program as a user does: arguments in; standard output,
// standard error and exit status out.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("XDG_DATA_HOME", e.WorkDir+"/data")
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("NO_COLOR", "1")
			return nil
		},
		Condition: func(cond string) (bool, error) {
			if name, ok := strings.CutPrefix(cond, "at-hand:"); ok {
				return atHand(name), nil
			}
			return false, fmt.Errorf("no condition %q", cond)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"tone":    toneCommand,
			"status":  statusCommand,
			"escape":  escapeCommand,
			"oddname": oddNameCommand,
			"oddwav":  oddWAVCommand,
			"cut":     cutCommand,
			"tagged":  taggedCommand,
		},
	})
}

// toneCommand writes a music-like WAV file: tone FILE LEVEL-DB [SECONDS [RATE
// [CHANNELS]]]. Level 0 is full scale.
func toneCommand(ts *testscript.TestScript, _ bool, args []string) {
	number := func(i int, otherwise float64) float64 {
		if i >= len(args) {
			return otherwise
		}
		v, err := strconv.ParseFloat(args[i], 64)
		ts.Check(err)
		return v
	}
	level, seconds := number(1, -10), number(2, 4)
	rate, channels := int(number(3, 44100)), int(number(4, 2))
	ts.Check(writeTone(ts.MkAbs(args[0]), level, seconds, rate, channels))
}

func writeTone(path string, level, seconds float64, rate, channels int) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	defer f.Close()
	e := wav.NewEncoder(f, rate, 16, channels, 1)
	amplitude := math.Pow(10, level/20) * 32767
	var data []int
	for i := range int(seconds * float64(rate)) {
		t := float64(i) / float64(rate)
		v := 0.0
		for _, hz := range []float64{45, 90, 400, 1000, 3000} {
			v += math.Sin(2*math.Pi*hz*t) / 5
		}
		v *= math.Min(1, (seconds-t)/0.1) // it fades, as music that breaks off is a fault
		for range channels {
			data = append(data, int(amplitude*v))
		}
	}
	err = e.Write(&audio.IntBuffer{Format: &audio.Format{NumChannels: channels, SampleRate: rate}, Data: data, SourceBitDepth: 16})
	if err != nil {
		return err
	}
	return e.Close()
}

// statusCommand runs dubgauge as a program of its own and checks its exit status:
// status N ARGS... What it wrote goes to the files stdout.txt and stderr.txt.
func statusCommand(ts *testscript.TestScript, _ bool, args []string) {
	err := ts.Exec("dubgauge", args[1:]...)
	ts.Check(os.WriteFile(ts.MkAbs("stdout.txt"), []byte(ts.ReadFile("stdout")), 0o644))
	ts.Check(os.WriteFile(ts.MkAbs("stderr.txt"), []byte(ts.ReadFile("stderr")), 0o644))
	got := 0
	if exit := (*exec.ExitError)(nil); errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if strconv.Itoa(got) != args[0] {
		ts.Fatalf("dubgauge %q ended with %d, want %s", args[1:], got, args[0])
	}
}

// escapeCommand fails when a file holds a control character other than a line
// break: escape FILE...
func escapeCommand(ts *testscript.TestScript, _ bool, args []string) {
	for _, name := range args {
		for i, r := range ts.ReadFile(name) {
			if (r < ' ' && r != '\n' && r != '\r') || r == 0x7f || (r >= 0x80 && r < 0xa0) {
				ts.Fatalf("%s: control character %U at byte %d", name, r, i)
			}
		}
	}
}

// oddNameCommand writes a track whose name holds a line break, an escape sequence
// and a change of the direction of writing: oddname DIR.
func oddNameCommand(ts *testscript.TestScript, _ bool, args []string) {
	ts.Check(writeTone(ts.MkAbs(args[0]+"/a\nb\x1b[31mred\u202e.wav"), -1, 4, 44100, 2))
}
