package playlist

import (
	"context"
	"math"
	"strconv"
	"strings"
)

// readM3U reads lines: a path each, comments with #, of which these are known
// (common practice, no standard):
//
//	#EXTINF:seconds key="value",Artist - Title   of the next path; -1 is no length
//	#EXTART:Artist                               of the next path
//	#PLAYLIST:Title                              of the list
func (l *List) readM3U(ctx context.Context, s string) error {
	next := said{duration: math.NaN()}
	n := 0
	for line := range strings.SplitSeq(s, "\n") {
		n++
		if err := stopped(ctx, n); err != nil {
			return err
		}
		if len(line) > maxLine {
			return l.wrong(n, "a line of %d bytes is no path: this is no playlist", len(line))
		}
		line = strings.Trim(line, " \t")
		switch {
		case line == "":
		case line[0] != '#':
			if err := l.add(next.entry(line, n)); err != nil {
				return err
			}
			next = said{duration: math.NaN()}
		case strings.HasPrefix(line, "#EXT-X-"):
			return l.wrong(n, "this lists the pieces of one stream (HLS), not tracks")
		default:
			l.comment(&next, line, n)
		}
	}
	if next.line != 0 {
		l.warn(next.line, "a track is described here, and no path follows")
	}
	return nil
}

// said is what comments say of the path that follows.
type said struct {
	duration  float64
	text      string
	artist    string
	hasArtist bool
	line      int
}

// comment reads one line with #.
func (l *List) comment(next *said, line string, n int) {
	kind, value, _ := strings.Cut(line, ":")
	switch strings.ToUpper(kind) {
	case "#PLAYLIST":
		l.Title = oneLine(value)
	case "#EXTART":
		next.artist, next.hasArtist = oneLine(value), true
	case "#EXTINF":
		length, text := cutInfo(value)
		next.text, next.line, next.duration = text, n, math.NaN()
		d, err := strconv.ParseFloat(length, 64)
		if err != nil {
			l.warn(n, "no length in seconds stands here: %.40q", length)
			return
		}
		next.duration = d
	}
}

// cutInfo takes the value of #EXTINF apart: the seconds, and the text behind the first
// comma that stands in no quotes.
func cutInfo(value string) (length, text string) {
	quoted := false
	at := len(value)
	for i := 0; i < len(value) && at == len(value); i++ {
		switch value[i] {
		case '"':
			quoted = !quoted
		case ',':
			if !quoted {
				at = i
			}
		}
	}
	length, text = value[:at], strings.TrimPrefix(value[at:], ",")
	if at == len(value) && quoted { // a quote that never ends is none
		length, text, _ = strings.Cut(value, ",")
	}
	length, _, _ = strings.Cut(strings.TrimSpace(length), " ")
	return length, text
}

// between artist and title in #EXTINF.
const between = " - "

// entry is the entry of a path.
func (s *said) entry(path string, line int) Entry {
	e := Entry{Path: place(path), DurationS: s.duration, Line: line, Title: oneLine(s.text)}
	if s.hasArtist {
		e.Artist = s.artist
		if s.artist != "" {
			e.Title = strings.TrimPrefix(e.Title, s.artist+between)
		}
		return e
	}
	if artist, title, ok := strings.Cut(e.Title, between); ok {
		e.Artist, e.Title = artist, title
	}
	return e
}
