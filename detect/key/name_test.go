package key

import "testing"

func TestParse(t *testing.T) {
	tests := []struct {
		in   string
		want Key
	}{
		{"C", Key{0, Major}}, {"c", Key{0, Minor}}, {"Am", Key{9, Minor}}, {"am", Key{9, Minor}},
		{"a minor", Key{9, Minor}}, {"A major", Key{9, Major}}, {"a major", Key{9, Major}},
		{"F#m", Key{6, Minor}}, {"F♯ min", Key{6, Minor}}, {"f# minor", Key{6, Minor}},
		{"Bb", Key{10, Major}}, {"B♭m", Key{10, Minor}}, {"bb", Key{10, Minor}},
		{"Gb major", Key{6, Major}}, {"GbM", Key{6, Major}}, {"G flat minor", Key{6, Minor}},
		{"C sharp minor", Key{1, Minor}}, {"Csharp", Key{1, Major}}, {"Db", Key{1, Major}},
		{"Cb", Key{11, Major}}, {"B#", Key{0, Major}}, {"Fb minor", Key{4, Minor}}, {"E#m", Key{5, Minor}},
		{"B", Key{11, Major}}, {"b", Key{11, Minor}}, {"Bm", Key{11, Minor}}, {"BM", Key{11, Major}},
		{" Ebmin ", Key{3, Minor}}, {"Emin.", Key{4, Minor}}, {"D maj", Key{2, Major}}, {"A-minor", Key{9, Minor}},
		{"AbMINOR", Key{8, Minor}}, {"g_minor", Key{7, Minor}},
	}
	for _, tt := range tests {
		if got, err := Parse(tt.in); err != nil || got != tt.want {
			t.Errorf("Parse(%q) = %v, %v, want %v", tt.in, got, err, tt.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, in := range []string{"", " ", "8A", "12B", "1m", "5d", "A8", "Am7", "H", "Hm", "Do", "minor",
		"all", "Cmoll", "C##", "o", "X minor", "A minor / C major", "Am\x00Bm", "♯"} {
		if got, err := Parse(in); err == nil || got != NoKey {
			t.Errorf("Parse(%q) = %v, %v, want NoKey and an error", in, got, err)
		}
	}
}

// FuzzParse holds that whatever is accepted is a key whose own name means the
// same.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"Am", "F#m", "Bb", "a minor", "Gb major", "C♯", "8A", "\xff", "B\xe2\x99"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		k, err := Parse(s)
		if err != nil {
			if k != NoKey {
				t.Fatalf("Parse(%q) = %v with %v", s, k, err)
			}
			return
		}
		if again, err := Parse(k.String()); err != nil || again != k {
			t.Fatalf("Parse(%q) = %v, which is read back as %v, %v", s, k, again, err)
		}
	})
}

func TestString(t *testing.T) {
	want := map[Key]string{{9, Minor}: "A minor", {6, Major}: "F# major", {1, Minor}: "C# minor", {3, Major}: "Eb major",
		{8, Minor}: "Ab minor", {10, Major}: "Bb major", NoKey: ""}
	for k, s := range want {
		if k.String() != s {
			t.Errorf("%#v.String() = %q, want %q", k, k.String(), s)
		}
	}
}
