package faults

import (
	"strings"
	"testing"
)

func TestNames(t *testing.T) {
	long := strings.Repeat("ä", 252)
	for _, tt := range []struct {
		path string
		want Kind // "": none
	}{
		{"Crate/Night Ferry (dub).wav", ""}, {"a/Björn 🎛.flac", ""}, {"a/b.tar.gz", ""}, {"a/COM10.wav", ""}, {"a/.hidden", ""},
		{"a/Which?.wav", Name}, {"a/7\".wav", Name}, {"a\\b.wav", Name}, {"a:b/c.wav", Name}, {"a/pipe|.wav", Name}, {"a/star*.wav", Name},
		{"a/line\nbreak.wav", Name}, {"a/bad\xff.wav", Name}, {"folder./x.wav", Name}, {"folder /x.wav", Name}, {"a/con.wav", Name}, {"lpt1", Name},
		{long + ".wav", Name}, {long[:500] + ".wav", ""}, {strings.Repeat("folder/", 40) + "x.wav", Name},
	} {
		got := Names([]string{tt.path})
		if tt.want == "" && len(got) != 0 || tt.want != "" && (len(got) != 1 || got[0].Kind != tt.want || got[0].Path != tt.path) {
			t.Errorf("%q: %+v, want %q", tt.path, got, tt.want)
		}
	}
}

func TestNamesThatFallTogether(t *testing.T) {
	got := Names([]string{"A/x.wav", "a/X.wav", "b/Bj\u00f6rn.wav", "b/Bjo\u0308rn.wav", "c/x.wav"})
	if len(got) != 4 {
		t.Fatalf("%+v", got)
	}
	for i, want := range []string{"upper and lower case", "upper and lower case", "Unicode form", "Unicode form"} {
		if got[i].Kind != NameClash || !strings.Contains(got[i].Detail, want) {
			t.Errorf("%+v, want %s", got[i], want)
		}
	}
}

func TestTooLarge(t *testing.T) {
	if _, bad := TooLarge(1<<32 - 1); bad {
		t.Error("4 GiB - 1 fits on FAT32")
	}
	if f, bad := TooLarge(1 << 32); !bad || f.Kind != FileSize {
		t.Errorf("4 GiB does not fit on FAT32: %+v", f)
	}
}
