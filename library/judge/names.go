package judge

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/library/track"
)

const (
	// maxFAT32 is the largest file on FAT32, whose size field has 32 bits.
	maxFAT32 = 1<<32 - 1
	// maxName is the longest name on FAT32 and exFAT, in UTF-16 units (exFAT
	// specification, clause 7.7; VFAT the same).
	maxName = 255
	// maxPath is the longest path that every host opens, 260 with the drive, a
	// colon, a backslash and a NUL (common practice).
	maxPath = 256
	// forbidden may not stand in a name on either (exFAT specification, table 35).
	forbidden = `"*/:<>?\|`
)

// reserved names, with or without an ending, cannot be opened on one host.
var reserved = []string{"CON", "PRN", "AUX", "NUL",
	"COM1", "COM2", "COM3", "COM4", "COM5", "COM6", "COM7", "COM8", "COM9",
	"LPT1", "LPT2", "LPT3", "LPT4", "LPT5", "LPT6", "LPT7", "LPT8", "LPT9"}

// pathFault is a fault of a file's path.
type pathFault struct {
	path string
	detect.Fault
}

// clashes finds the paths of one stick that fall together on FAT32 or exFAT. relPaths are
// relative to the root of the library, with forward slashes. The faults come in the
// order of relPaths.
func clashes(relPaths []string) []pathFault {
	var out []pathFault
	folded := map[string][]string{}
	for _, p := range relPaths {
		f := track.FoldPath(p)
		if !slices.Contains(folded[f], p) {
			folded[f] = append(folded[f], p)
		}
	}
	for _, p := range relPaths {
		for _, q := range folded[track.FoldPath(p)] {
			if q != p {
				out = append(out, pathFault{p, fault(reason.NameClash, fmt.Sprintf("differs from %q only in %s", q, difference(p, q)))})
				break
			}
		}
	}
	return out
}

// tooLarge tells whether a file of so many bytes does not fit on FAT32.
func tooLarge(size int64) (detect.Fault, bool) {
	if size <= maxFAT32 {
		return detect.Fault{}, false
	}
	return fault(reason.FileSize, fmt.Sprintf("%.2f GB, over the 4 GiB that a file on FAT32 can have", float64(size)/1e9)), true
}

// difference says in what two paths that fold to one differ.
func difference(p, q string) string {
	if norm.NFC.String(p) == norm.NFC.String(q) {
		return "its Unicode form (composed or decomposed letters)"
	}
	return "upper and lower case"
}

// pathProblem says what is wrong with a path, "" when nothing is.
func pathProblem(path string) string {
	for name := range strings.SplitSeq(path, "/") {
		if why := nameProblem(name); why != "" {
			return why
		}
	}
	if n := units(path); n > maxPath {
		return fmt.Sprintf("a path of %d characters, where some hosts open %d", n, maxPath)
	}
	return ""
}

func nameProblem(name string) string {
	if !utf8.ValidString(name) {
		return fmt.Sprintf("the name %q is not valid Unicode", name)
	}
	for _, r := range name {
		if strings.ContainsRune(forbidden, r) {
			return fmt.Sprintf("%q has %q in it, which FAT32 and exFAT forbid", name, r)
		}
		if r < 0x20 || unicode.IsControl(r) {
			return fmt.Sprintf("%q has a control character in it", name)
		}
	}
	if strings.HasSuffix(name, ".") || strings.HasSuffix(name, " ") {
		return fmt.Sprintf("%q ends in a dot or a space, which some hosts cut off", name)
	}
	stem, _, _ := strings.Cut(name, ".")
	if slices.Contains(reserved, strings.ToUpper(strings.TrimRight(stem, " "))) {
		return fmt.Sprintf("%q is a name that some hosts keep for a device", name)
	}
	if n := units(name); n > maxName {
		return fmt.Sprintf("a name of %d characters, where FAT32 and exFAT hold %d", n, maxName)
	}
	return ""
}

// units is the length of s in UTF-16 units.
func units(s string) int {
	n := 0
	for _, r := range s {
		n += max(1, utf16.RuneLen(r))
	}
	return n
}

// fault is one of the whole track.
func fault(k reason.Kind, detail string) detect.Fault {
	return detect.Fault{Kind: string(k), Detail: detail, AtS: detect.None}
}
