package library

import (
	"fmt"

	"dubgauge/detect"
	"dubgauge/detect/faults"
)

// addCollectionFaults adds to the tracks that take part what is wrong with them
// only beside others: the same file twice, which is told by its content.
func addCollectionFaults(tracks []Track) {
	first := make(map[string]int, len(tracks))
	for i := range tracks {
		t := &tracks[i]
		if !t.takesPart() || len(t.content) == 0 {
			continue
		}
		j, twice := first[string(t.content)]
		if !twice {
			first[string(t.content)] = i
			continue
		}
		t.addFault(sameFile(&tracks[j]))
		if len(tracks[j].extra) == 0 { // of three and more, the first names the second
			tracks[j].addFault(sameFile(t))
		}
	}
}

func sameFile(other *Track) detect.Fault {
	return detect.Fault{Kind: string(faults.Duplicate), Detail: fmt.Sprintf("the same file as %q", other.Path), AtS: detect.None}
}

// addFault adds a fault that is not part of the track's own record.
func (t *Track) addFault(f detect.Fault) {
	t.extra = append(t.extra, f)
	t.Faults = append(t.Faults, f)
}
