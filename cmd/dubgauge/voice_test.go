package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// commandOrFlag is a command of this program, or a flag, in a text.
var commandOrFlag = regexp.MustCompile(`dubgauge (scan|measure|list|show|mark|export|render|report|serve|demo|version|help)\b|(^|\s)--[a-z]+`)

// TestFloorsBelowNameNoCommand reads the texts in decode, detect and library: how
// the program is called is for those to say who know it.
func TestFloorsBelowNameNoCommand(t *testing.T) {
	read := 0
	for _, p := range packages(t) {
		if f := floorOf(p.path); f != "decode" && f != "detect" && f != "library" {
			continue
		}
		files, err := filepath.Glob(filepath.Join("../..", p.path, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING {
					read++
					if commandOrFlag.MatchString(strings.Trim(l.Value, "`\"")) {
						t.Errorf("%s names a command or a flag: %s", set.Position(l.Pos()), l.Value)
					}
				}
				return true
			})
		}
	}
	if read < 500 {
		t.Errorf("%d texts read: the check sees too little", read)
	}
	for _, s := range []string{"`dubgauge list` shows", "give another file with --db FILE", "--db"} {
		if !commandOrFlag.MatchString(s) {
			t.Errorf("%q is let through", s)
		}
	}
}
