package page

import (
	"html/template"
	"io"

	"dubgauge/export/words"
)

// Choose offers running orders to choose from.
type Choose struct {
	// Found are lists that lie in the library's folders; More says that there are others.
	Found []Option
	More  string
	// Path is what was typed, Limit how large an upload may be, in words.
	Path, Limit string
	// Wrong is why the last choice could not be read.
	Wrong string
}

// Option is one of a selection.
type Option = choice

// NewChoice is an option with a value and a text.
func NewChoice(value, text string, chosen bool) Option {
	return Option{value, words.Clean(text), chosen}
}

// The files of a page of a running order.
const (
	orderStyle  = styleLink + `<link rel="stylesheet" href="/assets/order.css">`
	orderScript = `<script type="module" src="/assets/order.js"></script>`
)

// OrderPage writes the page of a running order, o being nil where none is chosen.
func OrderPage(w io.Writer, o *Order, c Choose, opts Options) error {
	p, err := newPage(nil, opts, Filter{}, false)
	if err != nil {
		return err
	}
	p.Title = "Running order"
	if o != nil {
		o.Live = true
		p.Title = "Running order: " + o.Name
	}
	p.Live, p.Order, p.Choose = true, o, &c
	p.Style, p.Script = template.HTML(orderStyle), template.HTML(orderScript)
	return templates.ExecuteTemplate(w, "orderpage", p)
}
