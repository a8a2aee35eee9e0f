// Package demo makes a small library of synthesised music to try dubgauge on: a
// released group, and unreleased tracks of which each has one known defect or
// none. The scenario is invented: a night on a harbour ferry, played from one
// stick. Everything is computed from fixed seeds, so that it sounds the same and
// measures the same on every machine.
package demo

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"sync"
)

// Track is a track of the demo library and what was planted in it.
type Track struct {
	Path    string // relative to the library, with forward slashes
	Status  string // "released", "unreleased" or "unknown": what its tags and names say
	Reason  string // the reason code that must be found, empty for a clean track
	BPM     float64
	Planted string // the defect in words, empty for a clean track

	song   song
	format string
	bits   int
	tags   tagSet
	defect defect
	gain   float64 // dB, differences between clean masters
}

// Tracks lists the demo library.
func Tracks() []Track {
	list := []Track{
		released("Records/Tallow Brace - Gangway.flac", house, 124, 31, "flac", 16, -0.3),
		released("Records/Tallow Brace - Second Deck.flac", house, 125, 33, "flac", 24, 0.2),
		released("Records/Ondine Kestle - Ballast.aiff", house, 126, 29, "aiff", 16, 0),
		released("Records/Ondine Kestle - Fog Signal.wav", house, 126, 32, "wav", 16, 0.3),
		released("Records/Pier Foreman - Winch.wav", techno, 128, 30, "wav", 24, -0.2),
		released("Records/Pier Foreman - Engine Room.flac", techno, 129, 33, "flac", 16, 0.4),
		released("Records/Marl & Oakum - Lower Hold.aiff", techno, 130, 31, "aiff", 24, 0.1),
		released("Records/Marl & Oakum - Tarpaulin.flac", techno, 130, 29, "flac", 24, -0.4),
		alone(released("Records/Cinder Wren - Undertow.flac", drumAndBass, 174, 31, "flac", 16, 0)),
		plain("Own/night ferry premaster v3.wav", house, 125, 30, "wav", 24, nil, "", ""),
		plain("Own/keel line wip.wav", techno, 130, 32, "wav", 24, quieter, "quiet", "4 dB quieter than its master should be"),
		plain("Own/harbour lights master 2.aiff", house, 124, 29, "aiff", 24, louder, "loud", "3 dB louder, by limiting"),
		plain("Dubs/black water dubplate.flac", techno, 129, 33, "flac", 16, lowDown, "low end thin", "everything below 100 Hz shelved down by 8 dB"),
		plain("Dubs/plimsoll bootleg.wav", house, 125, 30, "wav", 16, lowUp, "low end heavy", "everything below 100 Hz shelved up by 8 dB"),
		plain("Dubs/two masts mashup.wav", techno, 128, 31, "wav", 16, flipLow, "mono loss", "the low end of one channel upside down"),
		plain("Dubs/gull cry edit.aiff", house, 126, 33, "aiff", 16, clip, "clipped", "peaks cut flat at full scale"),
		plain("New/lantern row.flac", house, 127, 31, "flac", 16, nil, "", ""),
	}
	list[len(list)-1].Status = "unknown"
	for i := range list {
		list[i].song.seed = uint64(i + 1)
	}
	return list
}

// released is a clean track with the tags of a record of the invented label.
func released(path string, s style, bpm, root float64, format string, bits int, gain float64) Track {
	base := filepath.Base(path)
	artist, title := split(base[:len(base)-len(filepath.Ext(base))])
	return Track{Path: path, Status: "released", BPM: bpm, song: song{style: s, bpm: bpm, root: root},
		format: format, bits: bits, gain: gain,
		tags: tagSet{"TITLE": title, "ARTIST": artist, "ALBUM": "Night Ferry Cuts", "DATE": "2025",
			"LABEL": "Slipway Pressings", "CATALOGNUMBER": fmt.Sprintf("SLIP %03.0f", 10+root),
			// ZZ is no country: user-assigned in ISO 3166-1.
			"ISRC": fmt.Sprintf("ZZDGA25%05.0f", bpm*100+root)},
	}
}

// alone is the only track of its kind, which is said of it.
func alone(t Track) Track {
	t.Reason, t.Planted = "unlike", "the only record of its kind"
	return t
}

// plain is a track without tags.
func plain(path string, s style, bpm, root float64, format string, bits int, d defect, reason, planted string) Track {
	return Track{Path: path, Status: "unreleased", BPM: bpm, song: song{style: s, bpm: bpm, root: root},
		format: format, bits: bits, defect: d, Reason: reason, Planted: planted}
}

// split parts "artist - title".
func split(s string) (artist, title string) {
	for i := 0; i+3 <= len(s); i++ {
		if s[i:i+3] == " - " {
			return s[:i], s[i+3:]
		}
	}
	return "", s
}

// Build writes the library below dir, two tracks at a time or as many as workers
// says, and calls done after each. Files that are already there are left alone,
// so that an interrupted build goes on. The running order of Order lies beside them.
func Build(ctx context.Context, dir string, workers int, done func()) error {
	jobs := make(chan Track)
	errs := make(chan error, workers)
	var wg sync.WaitGroup
	for range max(1, workers) {
		wg.Go(func() {
			for t := range jobs {
				if err := t.build(dir); err != nil {
					errs <- err
					return
				}
				done()
			}
		})
	}
	err := feed(ctx, jobs, errs)
	close(jobs)
	wg.Wait()
	select {
	case e := <-errs:
		return e
	default:
	}
	if err != nil {
		return err
	}
	return writeList(dir)
}

// feed hands out the tracks until the context ends or a worker fails.
func feed(ctx context.Context, jobs chan<- Track, errs chan error) error {
	for _, t := range Tracks() {
		select {
		case jobs <- t:
		case <-ctx.Done():
			return ctx.Err()
		case err := <-errs:
			return err
		}
	}
	return nil
}

// build renders one track into a file that appears under its name only when it
// is whole.
func (t *Track) build(dir string) error {
	path := filepath.Join(dir, filepath.FromSlash(t.Path))
	if _, err := os.Stat(path); err == nil {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	left, right := t.master()
	part := path + ".part"
	if err := write(part, t.format, t.bits, left, right, t.tags); err != nil {
		os.Remove(part)
		return fmt.Errorf("%s: %w", path, err)
	}
	return os.Rename(part, path)
}
