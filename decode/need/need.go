// Package need says what a test cannot do without, and skips it where that is
// missing. Where CI=true everything has to be there, and the test fails instead.
//
// It imports package testing, so only tests may import it; its own test holds the
// whole program to that.
package need

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// ChecksVariable names the folder of published check material that is not part of
// the project: decoder vectors, a development set of pieces.
const ChecksVariable = "DUBGAUGE_CHECKS"

// Program gives the path of an independent program. Several names are ways in which
// one program is called: the first that is on the PATH serves.
func Program(t testing.TB, names ...string) (path string) {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	Absent(t, strings.Join(names, " or ")+" is not installed")
	return ""
}

// Absent ends a test that lacks something, as the sentence says: as skipped, or as
// failed where CI=true.
func Absent(t testing.TB, sentence string) {
	t.Helper()
	if os.Getenv("CI") == "true" {
		t.Fatal(sentence + "; with CI=true it must be")
	}
	t.Skip(sentence)
}

// Checks gives the folder that ChecksVariable names. The material is nobody's duty to
// have: without it a test is skipped everywhere.
func Checks(t testing.TB) (folder string) {
	t.Helper()
	folder = os.Getenv(ChecksVariable)
	if folder == "" {
		t.Skip(ChecksVariable + " does not name the folder of the check material")
	}
	return folder
}
