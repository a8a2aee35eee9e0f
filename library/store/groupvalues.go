package store

import (
	"database/sql/driver"
	"encoding/json"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// keyName and keyConfidence, in that order, hold a key; an empty name is none.
type (
	keyName       struct{ v **detect.Key }
	keyConfidence struct{ v **detect.Key }
)

func (k keyName) Scan(src any) error {
	*k.v = nil
	if name, _ := src.(string); name != "" {
		tonic, mode, _ := strings.Cut(name, " ")
		*k.v = &detect.Key{Name: name, Tonic: tonic, Mode: mode,
			Confidence: detect.None, TuningCents: detect.None, Agreement: detect.None}
	}
	return nil
}

func (k keyName) Value() (driver.Value, error) {
	if *k.v == nil {
		return "", nil
	}
	return (*k.v).Name, nil
}

func (k keyConfidence) Scan(src any) error {
	if *k.v == nil {
		return nil
	}
	return number{&(*k.v).Confidence}.Scan(src)
}

func (k keyConfidence) Value() (driver.Value, error) {
	if *k.v == nil {
		return nil, nil
	}
	return number{&(*k.v).Confidence}.Value()
}

// faultList is JSON, NULL when empty.
type faultList struct{ v *[]detect.Fault }

func (f faultList) Scan(src any) error {
	*f.v = []detect.Fault{}
	if s, _ := src.(string); s != "" {
		return json.Unmarshal([]byte(s), f.v)
	}
	return nil
}

func (f faultList) Value() (driver.Value, error) {
	if len(*f.v) == 0 {
		return nil, nil
	}
	b, err := json.Marshal(*f.v)
	return string(b), err
}

// problemKind and problemDetail, in that order, hold why a file was not
// measured; NULL when it was.
type (
	problemKind   struct{ v **detect.Problem }
	problemDetail struct{ v **detect.Problem }
)

func (p problemKind) Scan(src any) error {
	*p.v = nil
	if kind, _ := src.(string); kind != "" {
		*p.v = &detect.Problem{Kind: reason.ProblemKind(kind)}
	}
	return nil
}

func (p problemKind) Value() (driver.Value, error) {
	if *p.v == nil {
		return nil, nil
	}
	return string((*p.v).Kind), nil
}

func (p problemDetail) Scan(src any) error {
	if s, ok := src.(string); ok && *p.v != nil {
		(*p.v).Detail = s
	}
	return nil
}

func (p problemDetail) Value() (driver.Value, error) {
	if *p.v == nil {
		return nil, nil
	}
	return (*p.v).Detail, nil
}
