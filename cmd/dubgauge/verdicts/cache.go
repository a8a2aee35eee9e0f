package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
)

// cache is a folder of records.
type cache struct {
	dir   string
	fresh bool // what is there is measured again
	only  bool // what is not there is left out
}

func (c cache) path(s Spec) string { return filepath.Join(c.dir, s.key()+".json") }

// load reads the record of s; nil when there is none, or when it is damaged, as
// after an interrupted run.
func (c cache) load(s Spec) *Record {
	data, err := os.ReadFile(c.path(s))
	if err != nil {
		return nil
	}
	r := new(Record)
	if json.Unmarshal(data, r) != nil || r.Spec != s {
		return nil
	}
	return r
}

// store writes a record under its name only when it is whole.
func (c cache) store(r *Record) error {
	data, err := r.encode()
	if err != nil {
		return fmt.Errorf("%s: %w", r.Spec, err)
	}
	part := c.path(r.Spec) + ".part"
	if err := os.WriteFile(part, data, 0o644); err != nil {
		return err
	}
	return os.Rename(part, c.path(r.Spec))
}
