package reason

import (
	"math"
	"testing"
)

func TestStepSentences(t *testing.T) {
	for _, c := range []struct {
		step Step
		want string
	}{
		{Step{Code: LevelStep, Off: -4.06, Left: -0.04}, "4.1 LU quieter than the track before it; with the trims of the list +0.0."},
		{Step{Code: LevelStep, Off: 2, Left: 1}, "2.0 LU louder than the track before it; with the trims of the list +1.0."},
		{Step{Code: JoinLevel, Off: -5, Left: -4.5}, "Its start is 5.0 LU quieter than the end before it, with the trims of the list -4.5: ride the fader while both play."},
		{Step{Code: SubStep, Off: -6}, "6.0 dB less sub (20 to 60 Hz) than the track before it, which no trim changes: turn up its low EQ, or play it elsewhere."},
		{Step{Code: BassStep, Off: 3}, "3.0 dB more bass (60 to 150 Hz) than the track before it, which no trim changes: turn down its low EQ, or play it elsewhere."},
		{Step{Code: JoinSub, Off: 3}, "Its start has 3.0 dB more sub (20 to 60 Hz) than the end before it: bring the low EQs across with care."},
		{Step{Code: JoinBass, Off: -3}, "Its start has 3.0 dB less bass (60 to 150 Hz) than the end before it: bring the low EQs across with care."},
		{Step{Code: SubStep, Off: -17, Missing: MissingIn}, "Next to no sub (20 to 60 Hz), the track before it has: no EQ brings up what is not there. Keep the low end of that one while both play, or play it elsewhere."},
		{Step{Code: BassStep, Off: 17, Missing: MissingOut}, "It brings bass (60 to 150 Hz), the track before it has next to none: open its low EQ slowly, or play it elsewhere."},
		{Step{Code: JoinSub, Off: -17, Missing: MissingIn}, "Its start has next to no sub (20 to 60 Hz), the end before it has: keep the low end of that one until its own comes."},
		{Step{Code: JoinBass, Off: 17, Missing: MissingOut}, "Its start brings bass (60 to 150 Hz), the end before it has next to none: open its low EQ slowly."},
		{Step{Code: TempoStep, Off: 33.8, Semitones: -5.05}, "33.8 % faster than the track before it: at that one's tempo it sounds 5.1 semitones lower without key lock. Cut, or put a track between."},
		{Step{Code: TempoStep, Off: -3, Semitones: 0.53}, "3.0 % slower than the track before it: at that one's tempo it sounds 0.5 semitones higher without key lock. Cut, or put a track between."},
		{Step{Code: KeyClash, From: "A minor", To: "Bb minor", Relation: "a semitone away", Sure: 0.64}, "Bb minor after A minor, a semitone away: mix where one of them is drums alone (64 % sure)."},
		{Step{Code: KeyClash, From: "A minor", To: "Bb minor", Relation: "a semitone away", Pitched: "the same key", Sure: 0.64}, "Bb minor after A minor, a semitone away: mix where one of them is drums alone (64 % sure; without key lock the same key)."},
	} {
		if got := c.step.Sentence(); got != c.want {
			t.Errorf("%+v:\n%s\nwant\n%s", c.step, got, c.want)
		}
	}
}

func TestLevelledSentences(t *testing.T) {
	for _, c := range []struct {
		levelled Levelled
		want     string
	}{
		{Levelled{}, "No track has a level."},
		{Levelled{Tracks: 3, Limit: 1, Kept: true}, "The single trims keep every step within 1.0 LU."},
		{Levelled{Tracks: 3, Changed: 2, Total: 1.25, Limit: 1, Kept: true}, "Every step stays within 1.0 LU with 2 of 3 single trims changed, by 1.2 dB in all."},
		{Levelled{Tracks: 5, Asked: 1, Limit: 2, From: 1, To: 4, Quiet: 1, Steps: 3, Low: -12, High: 12, Short: 3},
			"Steps within 1.0 LU cannot be had: track 4 goes down by 12.0 dB at most and track 1 up by 12.0 dB at most, which leaves 3.0 LU too much for 3 steps between them. The least that can be kept is 2.0 LU: the trims are for that."},
		{Levelled{Tracks: 5, Asked: 1, Limit: 2, From: 1, To: 4, Quiet: 4, Steps: 3, Low: -math.Pi, High: 0.5, Short: 3},
			"Steps within 1.0 LU cannot be had: track 1 goes down by 3.1 dB at most and track 4 up by 0.5 dB at most, which leaves 3.0 LU too much for 3 steps between them. The least that can be kept is 2.0 LU: the trims are for that."},
	} {
		if got := c.levelled.Sentence(); got != c.want {
			t.Errorf("%+v:\n%s\nwant\n%s", c.levelled, got, c.want)
		}
	}
}
