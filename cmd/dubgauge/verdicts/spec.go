package main

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"reflect"

	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
)

// Spec says which audio it is.
type Spec struct {
	Genre  string // of studio.Genres, or openMusic
	Seed   uint64 // of the song, or number of the piece
	Defect string // of studio.Defects, empty for a clean track
	Look   string // of studio.Lookalikes, empty for plain songs
}

// openMusic is the genre of real pieces.
const openMusic = "open music"

// Clean tells that nothing is wrong with the track.
func (s Spec) Clean() bool { return s.Defect == "" }

// song is the Spec without what was done to it.
func (s Spec) song() Spec { return Spec{Genre: s.Genre, Seed: s.Seed, Look: s.Look} }

// Half of the material: even seeds are for fitting, odd ones for the table.
func (s Spec) Half() string {
	if s.Seed%2 == 0 {
		return "fit"
	}
	return "show"
}

func (s Spec) String() string {
	text := fmt.Sprintf("%s %d", s.Genre, s.Seed)
	for _, more := range []string{s.Look, s.Defect} {
		if more != "" {
			text += ", " + more
		}
	}
	return text
}

// key names the record of a Spec in the cache. It changes with the generator and
// with the fields of a measurement; a change of how these are measured it cannot
// see (-fresh).
func (s Spec) key() string {
	text := fmt.Sprintf("%d\n%d\n%s\n%+v", recordVersion, studio.Version, shapeOf(reflect.TypeFor[detect.Measurement]()), s)
	return fmt.Sprintf("%x", sha256.Sum256([]byte(text)))[:24]
}

// shapeOf spells out a type with its fields.
func shapeOf(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		return t.Kind().String() + " " + shapeOf(t.Elem())
	case reflect.Struct:
		text := "{"
		for i := range t.NumField() {
			f := t.Field(i)
			text += f.Name + " " + shapeOf(f.Type) + string(f.Tag) + ";"
		}
		return text + "}"
	}
	return t.String()
}

// recordVersion counts changes to Record.
const recordVersion = 1

// Record is a measured track, as the cache holds it.
type Record struct {
	Spec        Spec
	Measurement detect.Measurement
	// Thirds are third-octave levels in dB, 31 for each second of the track; only
	// for tracks without a defect over time. None of silence is null.
	Thirds [][]detect.Value
}

func (r *Record) encode() ([]byte, error) { return json.Marshal(r) }
