package playlist

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/decode/need"
	"dubgauge/library/madeup"
)

// python runs a script of the standard library alone and gives what it prints.
func python(t *testing.T, script string, args ...string) string {
	t.Helper()
	cmd := exec.Command(need.Program(t, "python3"), append([]string{"-c", script}, args...)...)
	cmd.Env = append(os.Environ(), "PYTHONUTF8=1")
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, errs.String())
	}
	return string(out)
}

// rows that both sides know, as a program's text.
const pythonRows = `
import csv, sys, xml.etree.ElementTree as ET, urllib.parse, os
rows = [("a, \"b\";c.wav", "T\u00fc, \"x\"", "A & B <c>", 301.5), ("../M\u00fcsic/100% #1.wav", "=T", "A;-B", 12.25)]
NS = "http://xspf.org/ns/0/"
`

var goRows = []Entry{
	{Path: `a, "b";c.wav`, Title: `Tü, "x"`, Artist: "A & B <c>", DurationS: 301.5},
	{Path: "../Müsic/100% #1.wav", Title: "=T", Artist: "A;-B", DurationS: 12.25},
}

// TestWrittenByPython reads what Python's csv and xml.etree write, in each of csv's ways.
func TestWrittenByPython(t *testing.T) {
	for name, script := range map[string]string{
		"excel":      `csv.writer(sys.stdout).writerows([("path","title","artist","duration_s")] + rows)`,
		"semicolons": `csv.writer(sys.stdout, delimiter=";", lineterminator="\n").writerows([("path","title","artist","duration_s")] + rows)`,
		"tabs":       `csv.writer(sys.stdout, dialect="excel-tab", quoting=csv.QUOTE_ALL).writerows([("path","title","artist","duration_s")] + rows)`,
		"XSPF": `
ET.register_namespace("", NS)
p = ET.Element("{%s}playlist" % NS, version="1")
l = ET.SubElement(p, "{%s}trackList" % NS)
for path, title, artist, s in rows:
    e = ET.SubElement(l, "{%s}track" % NS)
    for k, v in (("location", urllib.parse.quote(path)), ("title", title), ("creator", artist), ("duration", str(int(1000*s)))):
        ET.SubElement(e, "{%s}%s" % (NS, k)).text = v
ET.ElementTree(p).write(sys.stdout.buffer, encoding="utf-8", xml_declaration=True)`,
		"XSPF with a prefix, ISO 8859-1": `
p = ET.Element("{%s}playlist" % NS, version="1")
l = ET.SubElement(p, "{%s}trackList" % NS)
for path, title, artist, s in rows:
    e = ET.SubElement(l, "{%s}track" % NS)
    for k, v in (("location", urllib.parse.quote(path)), ("title", title), ("creator", artist), ("duration", str(int(1000*s)))):
        ET.SubElement(e, "{%s}%s" % (NS, k)).text = v
ET.ElementTree(p).write(sys.stdout.buffer, encoding="iso-8859-1", xml_declaration=True)`,
	} {
		t.Run(name, func(t *testing.T) {
			l := read(t, python(t, pythonRows+script), "set")
			for i := range l.Entries {
				l.Entries[i].Line = 0
			}
			if d := cmp.Diff(goRows, l.Entries, sameLists); d != "" {
				t.Error(d)
			}
		})
	}
}

// TestReadByPython: Python's csv and xml.etree read the words and places that were written.
func TestReadByPython(t *testing.T) {
	dir := t.TempDir()
	const show = `
def show(path, title, artist, s): print("\t".join([path, title, artist, str(float(s))]))
`
	want := "a, \"b\";c.wav\tTü, \"x\"\tA & B <c>\t301.5\n../Müsic/100% #1.wav\t=T\tA;-B\t12.25\n"
	for f, script := range map[Format]string{
		CSV: `
for r in csv.DictReader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True):
    show(r["path"], r["title"].replace("'=", "="), r["artist"].replace(";'-", ";-"), r["duration_s"])`,
		XSPF: `
root = ET.parse(sys.argv[1]).getroot()
assert root.tag == "{%s}playlist" % NS and root.get("version") == "1"
for e in root.find("{%s}trackList" % NS):
    get = lambda k: e.find("{%s}%s" % (NS, k)).text
    show(urllib.parse.unquote(get("location")), get("title"), get("creator"), int(get("duration"))/1000)`,
	} {
		path := filepath.Join(dir, "list."+string(f))
		madeup.WriteFile(t, path, []byte(written(t, f, List{Entries: goRows}, Place{})))
		if d := cmp.Diff(want, python(t, pythonRows+show+script, path)); d != "" {
			t.Errorf("%s: %s", f, d)
		}
	}
}

// toConcat makes of a list, by Python alone, the paths that are meant, as a list for
// ffmpeg's concat demuxer.
const toConcat = pythonRows + `
here, paths = os.path.dirname(os.path.abspath(sys.argv[1])), []
if sys.argv[1].endswith(".m3u8"):
    paths = [l for l in open(sys.argv[1], encoding="utf-8").read().split("\n") if l and not l.startswith("#")]
elif sys.argv[1].endswith(".csv"):
    paths = [r["path"] for r in csv.DictReader(open(sys.argv[1], newline="", encoding="utf-8"))]
else:
    paths = [e.text for e in ET.parse(sys.argv[1]).getroot().iter("{%s}location" % NS)]
for p in paths:
    u = urllib.parse.urlsplit(p)
    if u.scheme == "file" or sys.argv[1].endswith(".xspf"):
        p = urllib.parse.unquote(u.path)
    p = os.path.normpath(os.path.join(here, p))
    assert os.path.isfile(p), p
    print("file '" + p.replace("'", "'\\''") + "'")
`

// TestPlayedByFFmpeg: what Python finds in a written list, ffmpeg plays, all of it.
func TestPlayedByFFmpeg(t *testing.T) {
	ffprobe := need.Program(t, "ffprobe")
	dir := t.TempDir()
	l := List{}
	for i, name := range []string{"Music/one.wav", "Music/#2 Ü's.wav", "Lists/100% 'real'.wav", "Lists/-a;=b, c.wav", "Lists/sub/x: y & <z>.wav"} {
		p := filepath.Join(dir, name)
		madeup.WriteFile(t, p, madeup.WAV(uint32(i), 8000*(i+1))) // i+1 seconds
		l.Entries = append(l.Entries, Entry{Path: filepath.ToSlash(p), Title: name, DurationS: float64(i + 1)})
	}
	const seconds = 1 + 2 + 3 + 4 + 5
	at := Place{Dir: filepath.Join(dir, "Lists"), Roots: []string{dir}}
	for ending, f := range map[string]Format{"m3u8": M3U, "xspf": XSPF, "csv": CSV} {
		path := filepath.Join(at.Dir, "set."+ending)
		madeup.WriteFile(t, path, []byte(written(t, f, l, at)))
		list := filepath.Join(dir, ending+".txt")
		madeup.WriteFile(t, list, []byte(python(t, toConcat, path)))
		out, err := exec.Command(ffprobe, "-v", "error", "-f", "concat", "-safe", "0", "-show_entries", "packet=duration_time", "-of", "csv=p=0", list).Output()
		if err != nil {
			t.Fatal(err)
		}
		total := 0.0
		for line := range strings.Lines(string(out)) {
			v, err := strconv.ParseFloat(strings.TrimRight(line, ",\n"), 64)
			if err != nil {
				t.Fatal(err)
			}
			total += v
		}
		if total < seconds-0.01 || total > seconds+0.01 { // packets say six decimals each
			t.Errorf("%s: ffmpeg plays %.3f s of %d", ending, total, seconds)
		}
	}
}
