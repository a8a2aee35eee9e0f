package page

import (
	"maps"
	"slices"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

// mostFolders are offered to choose from: of a library of more, those nearer the top.
const mostFolders = 200

// foldersOf lists the folders of tracks, and those that hold them, by name; none where all
// tracks lie in one.
func foldersOf(tracks []*library.Track, sticks words.Sticks) []string {
	all := map[string]bool{}
	for _, t := range tracks {
		for f := words.Folder(words.Clean(sticks.Place(t))); f != "" && !all[f]; f = words.Folder(f) {
			all[f] = true
		}
	}
	folders := slices.Sorted(maps.Keys(all))
	for depth := range maxDepth {
		if len(folders) <= mostFolders {
			break
		}
		folders = slices.DeleteFunc(folders, func(f string) bool { return strings.Count(f, "/") >= maxDepth-depth })
	}
	return folders[:min(len(folders), mostFolders)]
}

// maxDepth is deeper than folders of music go.
const maxDepth = 12
