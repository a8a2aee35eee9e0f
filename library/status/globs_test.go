package status

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// TestPatterns: the deepest folder whose patterns match decides.
func TestPatterns(t *testing.T) {
	p := Patterns{
		{Dir: "/music", Released: []string{"**"}},
		{Dir: "/music/Dubs", Released: []string{"out/**"}, Unreleased: []string{"*.wav", "out/*.aiff"}},
		{Dir: "/music/Dubs2", Unreleased: []string{"**"}},
	}
	p.Sort()
	rel := func(s string) Evidence { return Evidence{Released, "the pattern " + s, "glob"} }
	unrel := func(s string) Evidence { return Evidence{Unreleased, "the pattern " + s, "glob"} }
	for _, c := range []struct {
		root, path string
		want       []Evidence
	}{
		{"/music", "a.wav", []Evidence{rel("**")}},
		{"/music", "Dubs/a.wav", []Evidence{unrel("*.wav")}},
		{"/music", "Dubs/deep/a.wav", []Evidence{rel("**")}}, // * crosses no folder
		{"/music", "Dubs/out/a.wav", []Evidence{rel("out/**")}},
		{"/music", "Dubs/out/a.aiff", []Evidence{rel("out/**"), unrel("out/*.aiff")}},
		{"/music/Dubs", "a.wav", []Evidence{unrel("*.wav")}}, // the folder is a root itself
		{"/music/Dubs2", "a.wav", []Evidence{unrel("**")}},
		{"/elsewhere", "a.wav", nil},
	} {
		if diff := cmp.Diff(c.want, p.Of(c.root, c.path)); diff != "" {
			t.Errorf("%s in %s (-want +got):\n%s", c.path, c.root, diff)
		}
	}
}

func TestCleanPatterns(t *testing.T) {
	got, err := CleanPatterns([]string{"./a.wav", "", "House/", "nai\u0308ve*", "{a,b}/**"})
	if diff := cmp.Diff([]string{"a.wav", "House/**", "na\u00efve*", "{a,b}/**"}, got); diff != "" || err != nil {
		t.Errorf("error %v (-want +got):\n%s", err, diff)
	}
	if _, err := CleanPatterns([]string{"a[b"}); !errors.Is(err, ErrPattern) {
		t.Errorf("error %v, want %v", err, ErrPattern)
	}
}
