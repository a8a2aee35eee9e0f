// Package external reads formats that have no reader of our own through an ffmpeg
// found on the PATH: AAC and ALAC in M4A, Ogg Vorbis, Opus, WMA and others.
//
// ffmpeg is run without a shell, on one local file, with the one demuxer that the
// file's content calls for, and writes 32-bit floats to a pipe. It is killed when
// the context is cancelled, when the stream is closed, and when it takes longer
// than the file's length can explain. Without ffmpeg such files are Unsupported.
package external

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// program is looked for on the PATH.
const program = "ffmpeg"

// Available says whether ffmpeg is found.
func Available() bool {
	_, err := exec.LookPath(program)
	return err == nil
}

// Time that ffmpeg may keep us waiting. It decodes 300 times faster than realtime
// or more; the allowance is for a sixtieth of that on a busy machine with a slow
// stick: a megabyte holds half a minute of AAC at 256 kbit/s.
var waitBase = 30 * time.Second // shorter in a test

// waitEnd is how long a pipe may stay open, or a line be on its way, once ffmpeg is done:
// what it started may hold the pipe for ever. Ours, no source.
var waitEnd = 5 * time.Second // shorter in a test

const waitPerMB = 6 * time.Second

func waitLimit(size int64) time.Duration {
	return waitBase + time.Duration(float64(size)/1e6*float64(waitPerMB))
}

// How much sound a file can hold: what it declares, twice over, as tags err; where it
// declares nothing, what it holds at 2 kbit/s, under what any codec of music takes. The
// minute is for files of next to nothing. Ours, no source.
const (
	declaredTimes   = 2
	leastBytes      = 250 // a second
	lengthAllowance = 60  // s
)

// mostSeconds bounds what ffmpeg may give: the time that we spend on samples is not
// counted as waiting for it, so one that gives them for ever would never be late.
func mostSeconds(size int64, declared float64, guessed bool) float64 {
	if declared > 0 && !guessed {
		return declaredTimes*declared + lengthAllowance
	}
	return max(declaredTimes*declared, float64(size)/leastBytes) + lengthAllowance
}

// reader is the stream.Stream of a running ffmpeg.
type reader struct {
	*pcm.Reader
	ctx    context.Context
	cancel context.CancelFunc
	cmd    *exec.Cmd
	pipe   io.Reader
	report *report
	info   stream.Info
	title  string
	frames int64 // handed out, with those that a seek passed over
	missed []stream.Error
	exe    string
	path   string

	container Container
	kind      string // of the container
	until     int64  // frames that the file says the encoder was given, -1 when it does not

	size    int64         // of the file, bytes
	most    float64       // seconds of sound that the file can hold
	left    time.Duration // that may still be waited
	limit   time.Duration
	late    atomic.Bool // the limit was passed
	waited  bool        // the process is gone and its status taken
	waitErr error
	err     error // of the stream, once it ended
}

// Open starts ffmpeg on the file at path, size bytes long, which holds c. Errors
// about the content are *stream.Error.
func Open(ctx context.Context, path string, size int64, c Container) (stream.Stream, error) {
	exe, err := exec.LookPath(program)
	if err != nil {
		return nil, missing(c)
	}
	absolute, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	r := &reader{ctx: ctx, exe: exe, container: c, title: c.Title, limit: waitLimit(size), path: absolute, kind: c.Name, size: size}
	if err := r.run(0); err != nil {
		return nil, err
	}
	return r, nil
}

// run starts ffmpeg so many seconds into the file.
func (r *reader) run(from float64) error {
	input := "file:" + r.path
	r.report, r.left, r.until, r.frames = newReport(input), r.limit, -1, 0
	r.late.Store(false)
	r.waited, r.waitErr, r.err, r.missed = false, nil, nil, nil
	inner, cancel := context.WithCancel(r.ctx)
	r.cancel = cancel
	r.cmd = exec.CommandContext(inner, r.exe, arguments(input, r.container, from)...)
	r.cmd.Env = environment()
	r.cmd.Stderr = r.report
	r.cmd.WaitDelay = waitEnd
	var err error
	if r.pipe, err = r.cmd.StdoutPipe(); err == nil {
		err = r.cmd.Start()
	}
	if err != nil {
		cancel()
		return fmt.Errorf("starting %s: %w", program, err)
	}
	if err := r.start(r.container); err != nil {
		r.Close()
		return err
	}
	return nil
}

// missing says what to do when there is no ffmpeg.
func missing(c Container) error {
	return stream.Errorf(stream.Unsupported,
		"%s is read through ffmpeg, which is not on the PATH, so that the file was not judged: install ffmpeg (packages have that name, downloads are at ffmpeg.org) and scan again", c.Title)
}

// arguments for one local file, its demuxer given, audio from so many seconds on to a pipe. The "file:" in
// front and the whitelist keep a name from being taken for an option or an address.
func arguments(input string, c Container, from float64) []string {
	args := []string{"-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info",
		"-protocol_whitelist", "file", "-threads", "1"}
	if from > 0 {
		args = append(args, "-ss", strconv.FormatFloat(from, 'f', 9, 64))
	}
	return append(args, "-f", c.demuxer, "-i", input,
		"-map", "0:a:0", "-vn", "-sn", "-dn", "-map_metadata", "-1", "-bitexact",
		"-c:a", "pcm_f32le", "-f", "wav", "pipe:1")
}

// environment is ours without what makes ffmpeg write reports or colours.
func environment() []string {
	env := []string{"AV_LOG_FORCE_NOCOLOR=1"}
	for _, v := range os.Environ() {
		if !strings.HasPrefix(v, "FFREPORT=") && !strings.HasPrefix(v, "AV_LOG_FORCE_") {
			env = append(env, v)
		}
	}
	return env
}

// start reads the header off the pipe and what ffmpeg said of the input.
func (r *reader) start(c Container) error {
	info, err := readHeader(pipeReader{r})
	if err != nil {
		if e := r.end(); e != io.EOF {
			return e
		}
		return stream.Errorf(stream.Damaged, "no audio came out of the %s file", c.Title)
	}
	select {
	case <-r.report.started:
	case <-time.After(waitEnd): // it was written before the header, and is only on its way
	}
	r.Reader, err = pcm.NewReader(info, pcm.Format{Encoding: pcm.Float, Bits: 32, Bytes: 4}, forward{pipeReader{r}}, 0, pcm.ToEnd, nil)
	if err != nil {
		return err
	}
	r.report.mu.Lock()
	defer r.report.mu.Unlock()
	info.Format, info.Codec, info.Frames = c.Name, r.report.codec, -1
	info.BitDepth, info.BitrateKbps = r.report.depth, r.report.kbps
	if c.Name == "ogg" && info.Codec == "opus" {
		info.Format = "opus"
	}
	r.info = info
	r.most = mostSeconds(r.size, r.report.duration, r.report.guessed)
	if c.demuxer == "mov" {
		r.until = inputLength(r.path, info.SampleRate)
	}
	return nil
}

// Info describes the stream; the length is not known before the end.
func (r *reader) Info() stream.Info { return r.info }

// Read fills dst as stream.Stream says.
func (r *reader) Read(dst [][]float32) (int, error) {
	if r.err != nil {
		return 0, r.err
	}
	n, err := r.Reader.Read(dst)
	n = r.trim(n)
	r.frames += int64(n)
	if err == nil && r.seconds() > r.most {
		r.cancel()
		r.wait()
		r.err = stream.Errorf(stream.Damaged, "ffmpeg gave over %.0f s of sound, more than the file can hold, and did not end", r.most).AtTime(r.seconds())
		return n, r.err
	}
	if err == nil && n > 0 {
		return n, nil
	}
	for err == nil { // behind the encoder's input: let ffmpeg come to its end
		_, err = r.Reader.Read(dst)
	}
	r.err = r.end()
	r.checkLength()
	r.checkFile()
	return n, r.err
}

// trim cuts n frames that were read to the encoder's input, where that is known.
func (r *reader) trim(n int) int {
	if r.until < 0 {
		return n
	}
	return int(min(int64(n), max(0, r.until-r.frames)))
}

// Faults lists what ffmpeg complained of, then what the samples show.
func (r *reader) Faults() []stream.Error {
	list := append(r.report.list(), r.Reader.Faults()...)
	return append(list, r.missed...)
}

// Close ends ffmpeg and waits until it is gone.
func (r *reader) Close() error {
	r.cancel()
	r.wait()
	if r.err == nil {
		r.err = os.ErrClosed
	}
	return nil
}

func (r *reader) wait() error {
	if !r.waited {
		r.waited = true
		r.waitErr = r.cmd.Wait()
	}
	return r.waitErr
}

// noIndex is what ffmpeg says of a file of the MP4 family without its box of that name: it is
// written last by most programs, so that a file that was not finished has none.
const noIndex = "moov atom not found"

// end says why the pipe ended.
func (r *reader) end() error {
	err := r.wait()
	r.cancel()
	switch {
	case r.late.Load():
		return stream.Errorf(stream.Damaged, "ffmpeg took longer than %v to read it", r.limit.Round(time.Second)).AtTime(r.seconds())
	case r.ctx.Err() != nil:
		return r.ctx.Err()
	case err == nil:
		return io.EOF
	}
	said := r.report.complaint()
	if strings.Contains(said, "Input/output error") {
		return errors.New("ffmpeg: the file cannot be read: input/output error")
	}
	if strings.Contains(said, noIndex) {
		return stream.Errorf(stream.Damaged, "this %s file has no index that can be found, and nothing of it plays without one: "+
			"mostly its copy, download or export was not finished", r.title)
	}
	if said == "" {
		said = err.Error()
	}
	return stream.Errorf(stream.Damaged, "ffmpeg cannot read this %s file: %s", r.title, said).AtTime(r.seconds())
}

// seconds is the present time, -1 before the first sample.
func (r *reader) seconds() float64 {
	if r.frames == 0 {
		return -1
	}
	return float64(r.frames) / float64(r.info.SampleRate)
}

// checkLength names a missing end. The declared length is trusted only when the
// audio is all there is in the file: a film goes on behind its sound.
func (r *reader) checkLength() {
	const slack = 1.0 // seconds; encoder delay and rounding stay far below
	r.report.mu.Lock()
	declared, alone := r.report.duration, r.report.streams == 1 && !r.report.guessed
	r.report.mu.Unlock()
	if got := r.seconds(); r.err == io.EOF && alone && declared > max(got, 0)+slack {
		r.missed = append(r.missed, *stream.Errorf(stream.Truncated, "the file declares %.2f s, %.2f s came out", declared, max(got, 0)).AtTime(max(got, 0)))
	}
}
