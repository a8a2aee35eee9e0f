package main

import "strings"

// expected names the reason codes that are right for a defect, by the beginning
// of its name; the first line that fits counts. A track whose defect lies in the
// spectrum may be named by any word that a listener would accept.
var expected = []struct {
	defect string
	codes  []string
}{
	{"gain -", []string{"quiet"}},
	{"gain +", []string{"loud"}},
	{"low shelf 100 Hz -", []string{"low end thin", "bass thin", "sub thin"}},
	{"low shelf 100 Hz +", []string{"low end heavy", "bass heavy", "sub heavy"}},
	{"low shelf 60 Hz -", []string{"sub thin", "low end thin"}},
	{"low shelf 60 Hz +", []string{"sub heavy", "low end heavy"}},
	{"high shelf 8 kHz -", []string{"top dull"}},
	{"high shelf 8 kHz +", []string{"top bright"}},
	{"presence", []string{"harsh"}},
	{"mids 350 Hz -", []string{"hollow"}},
	{"mids 800 Hz -", []string{"hollow"}},
	{"mids 350 Hz +", []string{"muddy"}},
	{"dull tilt", []string{"top dull"}},
	{"hole", []string{"hole"}},
	{"repeated", []string{"skip"}},
	{"skipped", []string{"skip"}},
	{"channel dead", []string{"dead channel"}},
	{"channel -3", []string{"weak channel"}},
	{"channel 20", []string{"channel delay"}},
	{"channels swapped", []string{"channels swapped"}},
	{"polarity", []string{"polarity", "mono loss"}},
	{"abrupt start", []string{"cut start"}},
	{"abrupt end", []string{"cut end", "hole"}},
	{"cut fade", []string{"cut end"}},
	{"vinyl", []string{"clicks"}},
	{"hum", []string{"hum"}},
	{"rumble", []string{"noise"}},
	{"hiss", []string{"noise"}},
	{"wow", []string{"wow"}},
	{"DC", []string{"dc offset"}},
}

// rightCodes are the reason codes that name a defect.
func rightCodes(defect string) []string {
	for _, e := range expected {
		if strings.HasPrefix(defect, e.defect) {
			return e.codes
		}
	}
	return nil
}
