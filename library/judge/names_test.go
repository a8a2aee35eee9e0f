package judge

import (
	"strings"
	"testing"

	"dubgauge/detect/faults"
)

func TestNames(t *testing.T) {
	long := strings.Repeat("ä", 252)
	for _, tt := range []struct {
		path string
		want faults.Kind // "": none
	}{
		{"Crate/Night Ferry (dub).wav", ""}, {"a/Björn 🎛.flac", ""}, {"a/b.tar.gz", ""}, {"a/COM10.wav", ""}, {"a/.hidden", ""},
		{"a/Which?.wav", faults.Name}, {"a/7\".wav", faults.Name}, {"a\\b.wav", faults.Name}, {"a:b/c.wav", faults.Name}, {"a/pipe|.wav", faults.Name}, {"a/star*.wav", faults.Name},
		{"a/line\nbreak.wav", faults.Name}, {"a/bad\xff.wav", faults.Name}, {"folder./x.wav", faults.Name}, {"folder /x.wav", faults.Name}, {"a/con.wav", faults.Name}, {"lpt1", faults.Name},
		{long + ".wav", faults.Name}, {long[:500] + ".wav", ""}, {strings.Repeat("folder/", 40) + "x.wav", faults.Name},
	} {
		got := names([]string{tt.path})
		if tt.want == "" && len(got) != 0 || tt.want != "" && (len(got) != 1 || got[0].Kind != string(tt.want) || got[0].path != tt.path) {
			t.Errorf("%q: %+v, want %q", tt.path, got, tt.want)
		}
	}
}

func TestNamesThatFallTogether(t *testing.T) {
	got := names([]string{"A/x.wav", "a/X.wav", "b/Bj\u00f6rn.wav", "b/Bjo\u0308rn.wav", "c/x.wav"})
	if len(got) != 4 {
		t.Fatalf("%+v", got)
	}
	for i, want := range []string{"upper and lower case", "upper and lower case", "Unicode form", "Unicode form"} {
		if got[i].Kind != string(faults.NameClash) || !strings.Contains(got[i].Detail, want) {
			t.Errorf("%+v, want %s", got[i], want)
		}
	}
}

func TestTooLarge(t *testing.T) {
	if _, bad := tooLarge(1<<32 - 1); bad {
		t.Error("4 GiB - 1 fits on FAT32")
	}
	if f, bad := tooLarge(1 << 32); !bad || f.Kind != string(faults.FileSize) {
		t.Errorf("4 GiB does not fit on FAT32: %+v", f)
	}
}
