package mp3

import (
	"errors"
	"testing"
)

// Side information that the standard forbids is refused by name, whatever follows; what
// is only odd passes (clause 2.4.2.7).
func TestForbiddenSideInfo(t *testing.T) {
	for _, c := range []struct {
		name    string
		granule granule
		regions [2]int
		want    error
	}{
		{"as it should be", granule{bigValues: 288, tables: [3]uint8{1, 1, 1}}, [2]int{7, 7}, nil},
		{"289 pairs", granule{bigValues: 289, tables: [3]uint8{1, 1, 1}}, [2]int{7, 7}, errBigValues},
		{"table 4", granule{bigValues: 10, tables: [3]uint8{4, 1, 1}}, [2]int{7, 7}, errTable},
		{"table 14 in the second region", granule{bigValues: 28, tables: [3]uint8{1, 14, 1}}, [2]int{7, 7}, errTable}, // it begins at line 36, or 54 in MPEG-2
		{"table 14 in a second region that is empty", granule{bigValues: 18, tables: [3]uint8{1, 14, 1}}, [2]int{7, 7}, nil},
		{"table 4 in a third region that is empty", granule{bigValues: 10, tables: [3]uint8{1, 1, 4}}, [2]int{0, 7}, nil},
		{"counts past the last band", granule{bigValues: 288, tables: [3]uint8{1, 1, 4}}, [2]int{15, 7}, nil}, // one region is all
		{"a switched window of the normal type", granule{windowSwitching: true, tables: [3]uint8{1, 1, 0}}, [2]int{}, errBlockType},
		{"a start block", granule{windowSwitching: true, blockType: blockStart, tables: [3]uint8{1, 1, 0}}, [2]int{}, nil},
	} {
		for _, v := range []version{mpeg1, mpeg2} {
			for second := range 2 { // which channel has it
				h := header{version: v, layer: layerIII}
				good := &draft{granule: granule{tables: [3]uint8{1, 1, 1}}}
				w := &streamWriter{}
				var b bitWriter
				w.sideHead(&b, &h, 0)
				if v == mpeg1 {
					b.put(0, 8)
				}
				for i := range 2 * h.granules() {
					if i == second {
						w.sideGranule(&b, &h, &draft{granule: c.granule, regions: c.regions})
					} else {
						w.sideGranule(&b, &h, good)
					}
				}
				if len(b.b) != h.sideInfoBytes() {
					t.Fatalf("%d bytes of side information, want %d", len(b.b), h.sideInfoBytes())
				}
				r := bitReader{buf: append(b.b, make([]byte, wordPad)...), end: 8 * len(b.b)}
				var s sideInfo
				if err := s.parse(&h, &r); !errors.Is(err, c.want) {
					t.Errorf("%s, version %d: %v, want %v", c.name, v, err, c.want)
				}
			}
		}
	}
}

// A frame with forbidden side information is muted and named, also where its codes could
// be read; the next ones lean on its main data and are whole.
func TestForbiddenFrameIsMuted(t *testing.T) {
	c := newCleanFile(t, encode(t, wavFile(t, "chords", 2*44100, 44100, 2), "-b", "128", "-t"))
	data := join(c.data)
	at := c.pieces[20].head + headerBytes
	// big_values of the first granule lies behind 9 + 3 + 8 + 12 bits: 511 pairs.
	data[at+4] = 0xFF
	data[at+5] |= 0x80
	got, s := ours(t, data)
	f := s.Faults()
	if len(f) != 1 || f[0].Detail != "side information: "+errBigValues.Error()+"; 0.026 s muted" {
		t.Errorf("faults %v", f)
	}
	if kept, sound := c.compare(got, c.skip, c.hit([][2]int{{at, at + 6}})); kept != sound || len(got[0]) != len(c.x[0]) {
		t.Errorf("%d of %d samples kept, %d long, want %d", kept, sound, len(got[0]), len(c.x[0]))
	}
}
