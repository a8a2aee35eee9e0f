package external

import (
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"dubgauge/decode/stream"
)

// report reads what ffmpeg says on its standard error, run with -loglevel
// level+info: what it found in the input, then what went wrong. It is written to by
// one goroutine and asked by another.
type report struct {
	path    string        // as it was given to ffmpeg, taken out of messages
	started chan struct{} // closed when the input has been described

	mu       sync.Mutex
	line     []byte
	ready    bool
	streams  int // that the input has, pictures not counted
	codec    string
	depth    int     // bits, of lossless codecs
	kbps     int     // of the audio, or of the file
	duration float64 // seconds, 0 when not known
	guessed  bool    // the duration is, from the bit rate
	scrap    bool    // the line before told of a remainder shorter than a frame
	faults   stream.FaultList
	first    string // error
	last     string // error
}

func newReport(path string) *report { return &report{path: path, started: make(chan struct{})} }

// mostLine bounds a line that is kept; ffmpeg's own are far shorter.
const mostLine = 4096 // bytes

// Write takes whatever pieces the pipe gives.
func (r *report) Write(p []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, c := range p {
		if c == '\n' || c == '\r' {
			r.take(string(r.line))
			r.line = r.line[:0]
		} else if len(r.line) < mostLine {
			r.line = append(r.line, c)
		}
	}
	return len(p), nil
}

var (
	levelPattern     = regexp.MustCompile(`^(?:\[([^]]*) @ 0x[0-9a-f]+\] )*\[(info|warning|error|fatal|panic)\] (.*)$`)
	componentPattern = regexp.MustCompile(`\[[^]]* @ 0x[0-9a-f]+\] `)
	audioPattern     = regexp.MustCompile(`^  Stream #0:\d+\S*: Audio: (\w+)(.*)$`)
	streamPattern    = regexp.MustCompile(`^  Stream #0:\d+`)
	depthPattern     = regexp.MustCompile(`, s(16|32)p?(?: \((\d+) bit\))?`)
	kbpsPattern      = regexp.MustCompile(`, (\d+) kb/s`)
	scrapPattern     = regexp.MustCompile(`Invalid PCM packet, data has size \d+ but at least a size of \d+ was expected$`)
	durationPattern  = regexp.MustCompile(`^  Duration: (\d+):(\d+):(\d+\.\d+),.*?(?:bitrate: (\d+) kb/s)?$`)
)

// take reads one line.
func (r *report) take(line string) {
	m := levelPattern.FindStringSubmatch(line)
	if m == nil {
		return
	}
	switch level, text := m[2], m[3]; level {
	case "info":
		if !r.ready {
			r.describe(text)
		}
	case "warning":
		if strings.HasPrefix(text, "Estimating duration") {
			r.guessed = true
		}
	case "error", "fatal", "panic":
		if r.isScrap(text) || aboutPicture(m[1], text) {
			return
		}
		if text := r.clean(text); text != "" && text != r.last {
			r.last = text
			if r.first == "" {
				r.first = text
			}
			r.faults.Add(stream.Errorf(stream.Damaged, "ffmpeg: %s", text))
		}
	}
}

// pictureCodecs are ffmpeg's for cover pictures.
var pictureCodecs = map[string]bool{"mjpeg": true, "png": true, "gif": true, "bmp": true, "tiff": true, "webp": true}

// aboutPicture tells whether an error of a part of ffmpeg is about a cover picture,
// which ffmpeg looks into though only the sound is asked for. It costs no music.
func aboutPicture(part, text string) bool {
	return pictureCodecs[part] || strings.Contains(text, "attached picture")
}

// isScrap tells whether an error is about fewer bytes than a frame of PCM has: the
// padding that W64 has behind its samples. It costs no music. ffmpeg says it twice.
func (r *report) isScrap(text string) bool {
	again := r.scrap && strings.HasPrefix(text, "Error while decoding stream")
	r.scrap = scrapPattern.MatchString(text)
	return r.scrap || again
}

// describe reads what the lines about the input say.
func (r *report) describe(text string) {
	if strings.HasPrefix(text, "Stream mapping:") || strings.HasPrefix(text, "Output #0") {
		r.ready = true
		close(r.started)
		return
	}
	if m := durationPattern.FindStringSubmatch(text); m != nil {
		h, _ := strconv.ParseFloat(m[1], 64)
		minutes, _ := strconv.ParseFloat(m[2], 64)
		s, _ := strconv.ParseFloat(m[3], 64)
		r.duration = h*3600 + minutes*60 + s
		r.kbps, _ = strconv.Atoi(m[4])
	}
	if streamPattern.MatchString(text) && !strings.Contains(text, "(attached pic)") {
		r.streams++
	}
	if m := audioPattern.FindStringSubmatch(text); m != nil && r.codec == "" {
		r.codec = m[1]
		if k := kbpsPattern.FindStringSubmatch(m[2]); k != nil {
			r.kbps, _ = strconv.Atoi(k[1])
		}
		if lossless[r.codec] {
			r.depth = depth(m[2])
		}
	}
}

// lossless codecs have a bit depth.
var lossless = map[string]bool{"alac": true, "flac": true, "wavpack": true, "ape": true, "tta": true, "shorten": true, "wmalossless": true, "tak": true}

func depth(text string) int {
	m := depthPattern.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	if m[2] != "" {
		m[1] = m[2]
	}
	n, _ := strconv.Atoi(m[1])
	return n
}

// clean makes a message fit to show: no addresses, no path, no control characters,
// and not long.
func (r *report) clean(text string) string {
	const most = 200
	text = componentPattern.ReplaceAllString(text, "")
	text = strings.ReplaceAll(text, r.path+": ", "")
	text = strings.ReplaceAll(text, r.path, "the file")
	text = strings.Map(func(c rune) rune {
		if unicode.IsPrint(c) {
			return c
		}
		return -1
	}, text)
	text = strings.TrimRight(strings.TrimSpace(text), "!. ")
	if c := []rune(text); len(c) > most {
		text = string(c[:most]) + "..."
	}
	return text
}

// complaint is the first error, which tends to be the cause, and the last one.
func (r *report) complaint() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.first == r.last {
		return r.last
	}
	return r.first + "; " + r.last
}

func (r *report) list() []stream.Error {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.faults.List()
}
