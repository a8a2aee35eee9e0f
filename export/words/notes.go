package words

import (
	"fmt"

	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Note is something about a library as a whole, and what to do about it.
type Note struct{ What, Do string }

// Notes say what there is to say of a library before its tracks: that nothing in it can be
// read, that nothing needs mending, that too little is there to hold tracks against. refs are
// its references.
func Notes(tracks, refs []*library.Track) (notes []Note) {
	n := map[standout.Verdict]int{}
	taking, named := 0, 0
	for _, t := range tracks {
		if !t.Marks.Ignore {
			n[t.Verdict]++
			taking++
		}
		if t.Marks.Reference && t.TakesPart() {
			named++
		}
	}
	switch {
	case len(tracks) == 0:
		return nil
	case taking == 0:
		return []Note{{"All tracks are ignored.", "Take the marks of some back to have them judged."}}
	case n[standout.Unreadable] == taking:
		return []Note{{fmt.Sprintf("None of the files can be read: %s.", Counted(taking, "track")),
			"What is wrong stands beside each. Copy them anew from where they came, then scan again."}}
	case n[standout.Ready] == taking && taking == 1:
		notes = append(notes, Note{"The one track is ready: nothing stands out.", "Take its trim along: print the sheet."})
	case n[standout.Ready] == taking:
		notes = append(notes, Note{fmt.Sprintf("All %d tracks are ready: nothing stands out.", taking), "Take the trims along: print the sheet."})
	}
	return append(notes, fewReferences(len(refs), named)...)
}

// fewReferences says what a verdict is worth where there is little to hold tracks against.
func fewReferences(refs, named int) []Note {
	switch {
	case named == 1:
		return []Note{{"One track alone is the reference: every verdict follows from it.", "Name more as references, or take that mark back to go by all released tracks."}}
	case named == 0 && refs < standout.MinGroup:
		return []Note{{"Too few released tracks to hold the others against, so fixed values serve.",
			fmt.Sprintf("Add records that you know to sound right, or mark them as released: from %d on they are the measure.", standout.MinGroup)}}
	}
	return nil
}
