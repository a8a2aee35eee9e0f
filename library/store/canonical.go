package store

import (
	"bytes"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"dubgauge/detect"
	"dubgauge/library/track"
)

// A record as encoding/json writes it is read here in a tenth of the time: fields in
// their order, none unknown, no spaces, numbers in their shortest form, no escapes. What
// is written in any other way is refused and left to encoding/json, so that both give the
// same record for what both take. The order comes from the type: a new field needs
// nothing here, and figures that older versions did not measure may be missing.

// readCanonical reads a record into r, which is empty. tail is how encoding/json would
// write the record behind its path, nil where that is not known.
func readCanonical(line []byte, r *track.Record) (tail []byte, ok bool) {
	if recordForm == nil {
		return nil, false
	}
	c := &canonical{b: line, exact: true}
	if !c.read(recordForm, reflect.ValueOf(r).Elem()) || c.at != len(line) {
		return nil, false
	}
	if !c.exact {
		return nil, true
	}
	from := len(track.StoredHead) + bytes.IndexByte(line[len(track.StoredHead):], '"') + 1
	if len(c.gaps) == 0 {
		return line[from:], true
	}
	for _, g := range c.gaps {
		tail = append(append(append(tail, line[from:g.at]...), ','), g.name...)
		tail = append(tail, null...)
		from = g.at
	}
	return append(tail, line[from:]...), true
}

// form is how a type stands in JSON; nil for one that this does not read.
type form struct {
	kind   kind
	fields []fieldForm // of a struct
	part   *form       // of a list or behind a pointer
	typ    reflect.Type
	before reflect.Value // a struct of which nothing was read
}

type fieldForm struct {
	name  []byte // with quotes and colon
	index []int
	omits bool // when it is empty
	form  *form
}

type kind int

const (
	aStruct kind = iota
	aText
	aWhole   // a whole number
	aNumber  // a float64
	aValue   // a detect.Value
	aTruth   // true or false
	someThat // detect.Values
	aList
	aPointer
)

var recordForm = formOf(reflect.TypeFor[track.Record]())

// formOf is the form of a type.
func formOf(t reflect.Type) *form {
	f := &form{typ: t}
	switch {
	case t == reflect.TypeFor[detect.Value]():
		f.kind = aValue
	case t == reflect.TypeFor[detect.Values]():
		f.kind = someThat
	case t.Kind() == reflect.Struct:
		return structForm(f)
	case hasOwnJSON(t):
		return nil
	case t.Kind() == reflect.String:
		f.kind = aText
	case t.Kind() == reflect.Int || t.Kind() == reflect.Int64:
		f.kind = aWhole
	case t.Kind() == reflect.Float64:
		f.kind = aNumber
	case t.Kind() == reflect.Bool:
		f.kind = aTruth
	case t.Kind() == reflect.Slice || t.Kind() == reflect.Pointer:
		f.kind = aList
		if t.Kind() == reflect.Pointer {
			f.kind = aPointer
		}
		if f.part = formOf(t.Elem()); f.part == nil || t.Elem().Kind() == reflect.Uint8 {
			return nil
		}
	default:
		return nil
	}
	return f
}

// hasOwnJSON tells that a type reads or writes itself.
func hasOwnJSON(t reflect.Type) bool {
	for _, name := range []string{"MarshalJSON", "UnmarshalJSON", "MarshalText", "UnmarshalText"} {
		if _, ok := reflect.PointerTo(t).MethodByName(name); ok {
			return true
		}
	}
	return false
}

// readThemselves are structs that read themselves, but only to say what a field is that
// is missing.
var readThemselves = []reflect.Type{reflect.TypeFor[detect.Fault](), reflect.TypeFor[detect.Key](), reflect.TypeFor[detect.Width](), reflect.TypeFor[detect.Kick](),
	reflect.TypeFor[detect.Limiting](), reflect.TypeFor[detect.Edge]()}

func structForm(f *form) *form {
	f.before = reflect.New(f.typ)
	if hasOwnJSON(f.typ) && (!slices.Contains(readThemselves, f.typ) || json.Unmarshal([]byte("{}"), f.before.Interface()) != nil) {
		return nil
	}
	for _, field := range reflect.VisibleFields(f.typ) {
		tag := field.Tag.Get("json")
		name, option, _ := strings.Cut(tag, ",")
		if field.Anonymous && tag == "" {
			continue // its fields follow
		}
		part := formOf(field.Type)
		if part == nil || name == "" || name == "-" || !field.IsExported() || (option != "" && option != "omitempty") {
			return nil
		}
		f.fields = append(f.fields, fieldForm{[]byte(`"` + name + `":`), field.Index, option != "", part})
	}
	return f
}

// canonical reads one line.
type canonical struct {
	b     []byte
	at    int
	exact bool
	gaps  []gap
}

// gap is where a number is missing that does not exist.
type gap struct {
	at   int
	name []byte
}

// next takes what comes next if it is that.
func (c *canonical) next(text []byte) bool {
	if !bytes.HasPrefix(c.b[c.at:], text) {
		return false
	}
	c.at += len(text)
	return true
}

// is takes the next character if it is that.
func (c *canonical) is(b byte) bool {
	if c.at == len(c.b) || c.b[c.at] != b {
		return false
	}
	c.at++
	return true
}

// read reads a value of a form into v; false where it is not canonical.
func (c *canonical) read(f *form, v reflect.Value) bool {
	switch f.kind {
	case aStruct:
		return c.readStruct(f, v)
	case aText:
		s, ok := c.text()
		v.SetString(s)
		return ok
	case aWhole:
		n, decimals, ok := c.number(0)
		v.SetInt(n)
		return ok && decimals == 0
	case aNumber:
		x, ok := c.float(6)
		v.SetFloat(x)
		return ok
	case aValue:
		x, ok := c.value()
		v.SetFloat(float64(x))
		return ok
	case aTruth:
		v.SetBool(c.next(yes))
		return v.Bool() || c.next(no)
	case someThat:
		return c.values(v.Addr().Interface().(*detect.Values))
	case aList:
		return c.list(f, v)
	}
	if c.next(null) {
		v.SetZero()
		return true
	}
	to := reflect.New(f.part.typ)
	v.Set(to)
	return c.readNew(f.part, to.Elem())
}

var null, yes, no = []byte("null"), []byte("true"), []byte("false")

func (c *canonical) readStruct(f *form, v reflect.Value) bool {
	if !c.is('{') {
		return false
	}
	first := true
	for i := range f.fields {
		field := &f.fields[i]
		to := v.FieldByIndex(field.index)
		before := c.at
		if there := (first || c.is(',')) && c.next(field.name); !there {
			c.at = before
			if first || !c.missing(field, to) {
				return false
			}
			continue
		}
		first = false
		if !c.read(field.form, to) || (field.omits && empty(to)) {
			return false
		}
	}
	return c.is('}')
}

// readNew reads a value into what is new.
func (c *canonical) readNew(f *form, v reflect.Value) bool {
	if f.kind == aStruct {
		v.Set(f.before.Elem())
	}
	return c.read(f, v)
}

// missing takes it that a field is not there: one that is left out when it is empty, or
// a number that does not exist.
func (c *canonical) missing(f *fieldForm, v reflect.Value) bool {
	if f.omits {
		return empty(v)
	}
	if f.form.kind != aValue || detect.Value(v.Float()).Exists() {
		return false
	}
	c.gaps = append(c.gaps, gap{c.at, f.name})
	return true
}

// empty is what encoding/json leaves out.
func empty(v reflect.Value) bool {
	if v.Kind() == reflect.Slice {
		return v.Len() == 0
	}
	return v.Kind() != reflect.Struct && v.IsZero()
}

func (c *canonical) list(f *form, v reflect.Value) bool {
	if !c.is('[') {
		return false
	}
	n := 0
	for !c.is(']') {
		if n > 0 && !c.is(',') {
			return false
		}
		if n == v.Cap() {
			v.Grow(max(8, n))
		}
		v.SetLen(n + 1)
		if !c.readNew(f.part, v.Index(n)) {
			return false
		}
		n++
	}
	if n == 0 {
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
	}
	return true
}

func (c *canonical) values(to *detect.Values) bool {
	if !c.is('[') {
		return false
	}
	end := bytes.IndexByte(c.b[c.at:], ']')
	if end < 0 {
		return false
	}
	all := make(detect.Values, 0, 1+bytes.Count(c.b[c.at:c.at+end], []byte(",")))
	for !c.is(']') {
		if len(all) > 0 && !c.is(',') {
			return false
		}
		x, ok := c.value()
		if !ok {
			return false
		}
		all = append(all, x)
	}
	*to = all
	return true
}

// value reads what detect.Value writes.
func (c *canonical) value() (detect.Value, bool) {
	if c.next(null) {
		return detect.None, true
	}
	x, ok := c.float(4)
	return detect.Value(x), ok
}

// float reads a number with so many decimals at most. A whole number of 15 digits, and a
// power of ten up to 10^22, are float64 without rounding, so that their quotient is the
// number that is nearest to what is written, and its shortest form is what is written.
func (c *canonical) float(most int) (float64, bool) {
	n, decimals, ok := c.number(most)
	return float64(n) / tens[decimals], ok
}

var tens = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6}

// mostDigits of a number are exact.
const mostDigits = 15

// number reads a number without its point, and how many digits were behind it: at most
// so many, the last not 0.
func (c *canonical) number(most int) (n int64, decimals int, ok bool) {
	minus := c.is('-')
	start := c.at
	n, whole := c.digits(0, mostDigits)
	if whole == 0 || (whole > 1 && c.b[start] == '0') {
		return 0, 0, false
	}
	if c.is('.') {
		n, decimals = c.digits(n, min(most, mostDigits-whole))
		if decimals == 0 || c.b[c.at-1] == '0' {
			return 0, 0, false
		}
	}
	if minus {
		n = -n
	}
	return n, decimals, n != 0 || !minus
}

// digits reads on in a number, at most so many, and tells how many there were. Digits that
// are left are nothing that may follow.
func (c *canonical) digits(n int64, most int) (int64, int) {
	start := c.at
	for c.at < len(c.b) && c.at-start < most && c.b[c.at]-'0' < 10 {
		n = n*10 + int64(c.b[c.at]-'0')
		c.at++
	}
	return n, c.at - start
}

// text reads a text without escapes.
func (c *canonical) text() (string, bool) {
	if !c.is('"') {
		return "", false
	}
	start, plain := c.at, true
	for ; c.at < len(c.b); c.at++ {
		switch b := c.b[c.at]; {
		case b == '"':
			s := string(c.b[start:c.at])
			c.at++
			return s, plain || (utf8.ValidString(s) && !strings.ContainsAny(s, "\u2028\u2029"))
		case b == '\\' || b < ' ':
			return "", false
		case b == '<' || b == '>' || b == '&':
			c.exact = false // it is written with an escape
		case b >= utf8.RuneSelf:
			plain = false
		}
	}
	return "", false
}
