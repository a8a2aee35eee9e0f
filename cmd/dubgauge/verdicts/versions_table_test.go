package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/decode/need"
	"dubgauge/detect/fingerprint"
)

// named is a print with what it is of: tracks of one tune are versions.
type named struct {
	tune, form string
	odd        bool
	print      fingerprint.Print
}

// printKept keeps prints in a folder, so that only the first run has to make them.
type printKept struct{ dir string }

func (k printKept) of(name string, make func() fingerprint.Print) fingerprint.Print {
	path := filepath.Join(k.dir, strings.NewReplacer(" ", "-", "/", "-", ",", "").Replace(name)+".print")
	if b, err := os.ReadFile(path); err == nil {
		if p, err := fingerprint.FromBytes(b); err == nil {
			return p
		}
	}
	p := make()
	if k.dir != "" {
		_ = os.WriteFile(path, p.Bytes(), 0o600) // else the next run makes it
	}
	return p
}

// TestVersionsTable states how many pairs of the twelve pieces in nine forms are found,
// and that none is among other tunes: studio songs, of which those of one genre have one
// tempo and key, and whatever music DUBGAUGE_MUSIC names. It needs
//
//	DUBGAUGE_CHECKS     the development set
//	DUBGAUGE_TABLE=1
//	DUBGAUGE_MUSIC      folders of other pieces, each another tune
//	DUBGAUGE_SAME       but for these: a.flac=b.flac,c.flac=d.flac
//	DUBGAUGE_VERDICTS   folder that keeps the prints
func TestVersionsTable(t *testing.T) {
	if os.Getenv("DUBGAUGE_TABLE") == "" {
		t.Skip("DUBGAUGE_TABLE=1 prints which versions are found")
	}
	var kept printKept
	if dir := os.Getenv("DUBGAUGE_VERDICTS"); dir != "" {
		kept.dir = filepath.Join(dir, "prints")
		if err := os.MkdirAll(kept.dir, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	all := songsOfOneKind(kept, 200)
	for i, path := range findPieces(filepath.SplitList(os.Getenv("DUBGAUGE_MUSIC"))) {
		name := filepath.Base(path)
		p := kept.of(name, func() fingerprint.Print { return filePrint(t, path) })
		all = append(all, named{tuneOf(name), name, i%2 == 0, p})
	}
	all = append(all, piecesInForms(t, kept)...)
	tellVersions(t, all)
}

// tuneOf is the tune of a file of DUBGAUGE_MUSIC.
func tuneOf(name string) string {
	for pair := range strings.SplitSeq(os.Getenv("DUBGAUGE_SAME"), ",") {
		if a, b, _ := strings.Cut(pair, "="); b == name {
			return a
		}
	}
	return name
}

// songsOfOneKind are studio songs: those of a genre at one tempo and in one key.
func songsOfOneKind(kept printKept, n int) (all []named) {
	for i := range n {
		g, seed := studio.Genres[i%len(studio.Genres)], uint64(i/len(studio.Genres)+1)
		name := fmt.Sprintf("%s %d", g.Name, seed)
		all = append(all, named{name, "", seed%2 == 1, kept.of("one "+name, func() fingerprint.Print {
			return tunePrint(ofOneKind(g, seed).Stems().Sum())
		})})
	}
	return all
}

// ofOneKind composes a song at the tempo and in the key that all of its genre get.
func ofOneKind(g *studio.Genre, seed uint64) *studio.Song {
	s := studio.Compose(g, seed)
	s.BPM, s.Minor = (g.BPM[0]+g.BPM[1])/2, true
	s.Root = sound.Note(33) // A1
	return s
}

func piecesInForms(t *testing.T, kept printKept) (all []named) {
	for i, path := range findPieces([]string{filepath.Join(need.Checks(t), "music")}) {
		name := filepath.Base(path)
		var piece sound.Audio
		for _, f := range tuneForms {
			all = append(all, named{name, f.name, i%2 == 0, kept.of(name+" "+f.name, func() fingerprint.Print {
				if piece.Len() == 0 {
					piece = wholePiece(t, path)
				}
				return f.make(t, piece.Clone())
			})})
		}
	}
	return all
}

// tellVersions finds all pairs and holds them against what is known.
func tellVersions(t *testing.T, all []named) {
	prints := make([]fingerprint.Print, len(all))
	for i := range all {
		prints[i] = all[i].print
	}
	f := fingerprint.NewIndex(prints).Finder()
	pairs, found, wrong := map[bool]int{}, map[bool]int{}, 0
	tracks, least := 0, fingerprint.Match{Distinct: 1e9}
	for i, a := range all {
		if a.print == nil {
			t.Errorf("%s, %s: no print", a.tune, a.form)
			continue
		}
		tracks++
		with := map[int]bool{}
		for _, m := range f.Find(a.print, i) {
			with[m.Print] = true
			if m.Distinct < least.Distinct {
				least = m
			}
			if b := all[m.Print]; b.tune != a.tune && m.Print > i {
				wrong++
				t.Errorf("%s %s is taken for %s %s: %.0f s, %.0f without repeats, %.2f of the bits", a.tune, a.form, b.tune, b.form, m.Seconds, m.Distinct, m.Differ)
			}
		}
		for j := i + 1; j < len(all); j++ {
			if all[j].tune != a.tune {
				continue
			}
			pairs[a.odd]++
			if with[j] {
				found[a.odd]++
			} else {
				t.Logf("%s: %s and %s are not found", a.tune, a.form, all[j].form)
			}
		}
	}
	t.Logf("%d tracks; pairs found: odd %d of %d, even %d of %d; false: %d of %d", tracks,
		found[true], pairs[true], found[false], pairs[false], wrong, tracks*(tracks-1)/2-pairs[true]-pairs[false])
	t.Logf("the least that was found: %.0f s without repeats, of %.0f", least.Distinct, least.Seconds)
	if n := pairs[true]; found[true] < n-n/20 {
		t.Errorf("%d of %d pairs found, want 95 %%", found[true], n)
	}
}
