package words

import (
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/reason"
	"dubgauge/detect/setlist"
)

func TestFollows(t *testing.T) {
	s := setlist.Step{
		Key:   setlist.HarmonyStep{Relation: key.FifthUp, Confidence: 0.64},
		Tempo: setlist.TempoStep{Percent: 1.26}, Level: setlist.LevelStep{LU: -0.04}, Sub: setlist.LowStep{DB: 2}, Bass: setlist.LowStep{DB: -1.5},
	}
	want := "a fifth up, 64 % sure, 1.3 % faster, as loud, 2.0 dB more sub, 1.5 dB less bass"
	if got := Plain.Follows(&s); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	s.Key.Relation, s.Level.LU, s.Tempo.Percent, s.Sub.DB, s.Bass.DB = "", 1, 0, detect.None, 0.01
	if got := Plain.Follows(&s); got != "the same tempo, 1.0 LU louder, as much bass" {
		t.Errorf("%q", got)
	}
	s.Tempo.Percent, s.Level.LU, s.Bass.DB = detect.None, detect.None, detect.None
	if got := Plain.Follows(&s); got != "nothing that could be compared was measured" {
		t.Errorf("%q", got)
	}
	s.Sub, s.Bass = setlist.LowStep{DB: -17, Missing: reason.MissingIn}, setlist.LowStep{DB: 17, Missing: reason.MissingOut}
	if got := Plain.Follows(&s); got != "no sub, bass after none" {
		t.Errorf("%q", got)
	}
	if in, out, both := Plain.Low(&s.Sub), Plain.Low(&s.Bass), Page.Low(&setlist.LowStep{DB: -17}); in != "none" || out != "enters" || both != "\u221217.0" {
		t.Errorf("%q, %q, %q", in, out, both)
	}
	if Plain.Harmony(key.Semitone) != "semitone" || Plain.Harmony(key.Unknown) != "-" || Page.Harmony(key.Far) != "distant" {
		t.Error("the words of a relation")
	}
}

func TestCosts(t *testing.T) {
	got := Costs(setlist.Cost{Tempo: 12.24, Key: 5, Level: 3}, setlist.Cost{Tempo: 9.9, Key: 5.21, Level: 3.04},
		setlist.Audible{Tempo: 3, Key: 1, Level: 2}, setlist.Audible{Tempo: 1, Key: 2, Level: 2})
	want := []string{
		"tempo      12.2 -> 9.9  better; past the limit: 3 -> 1",
		"key         5.0 -> 5.2  worse; clashes: 1 -> 2",
		"level       3.0 -> 3.0  as before; past the limit: 2 -> 2",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if got := Costs(setlist.Cost{Aim: 2}, setlist.Cost{}, setlist.Audible{}, setlist.Audible{}); !slices.Equal(got, []string{"aim         2.0 -> 0.0  better"}) {
		t.Errorf("%q", got)
	}
	l := setlist.Levelling{Note: "All is level.", By: setlist.ByLoudest}
	if got := Levelled(&l); got != "All is level. Levelled by the loudest 30 s." {
		t.Errorf("%q", got)
	}
}
