package commands

import (
	"fmt"
	"strconv"
	"strings"
)

// Pick is a list to pick from. What is picked becomes the value of an option.
type Pick struct {
	Label   string  // what it is a list of
	Request Request // asked with what was picked
	Option  string  // of the request's command; "" for a list of combinations by their pins
	Items   []Item  // none for an option that takes a role or a channel: the surface lists those it knows
	Most    int     // that can be picked at once, 0 for one
	Here    bool    // the answer replaces the card, where nobody else reads it
}

// Item is one line of a Pick.
type Item struct {
	Label, Value string // a Value of a list that takes several has no comma
	Set          bool   // it is the current value
}

// Picked is the request for what was picked.
func (p Pick) Picked(values ...string) Request {
	value := strings.Join(values, ", ")
	if p.Option != "" {
		return p.Request.with(p.Option, value)
	}
	p.Request.About = value
	return p.Request
}

// Kind is what the list's option takes, Text where it has none.
func (p Pick) Kind() OptionKind {
	if cmd := find(catalogue, p.Request.Command); cmd != nil {
		if o := cmd.option(p.Option); o != nil {
			return o.Kind
		}
	}
	return Text
}

// lists writes the choices and the lists of a card, with one numbering for all.
func (c Card) lists(b *wrapped) {
	n := 0
	number := func(label string) {
		n++
		b.wrap(fmt.Sprintf("  %2d  ", n), "      ", label)
	}
	for _, choice := range c.Choices {
		number(choice.Label)
	}
	for _, p := range c.Picks {
		switch {
		case len(p.Items) == 0:
			b.wrap("  → ", "    ", p.Label+": "+p.Picked("…").Line())
			continue
		case p.Most > 1:
			b.wrap("  ", "    ", p.Label+", one or several, as in 1, 3:")
		default:
			b.wrap("  ", "    ", p.Label+":")
		}
		for _, item := range p.Items {
			if item.Set {
				item.Label += " (set)"
			}
			number(item.Label)
		}
	}
}

// Numbered is the request that numbers typed at the lists of a card make. It is nil where no numbers were typed or
// there are no lists; for a number that there is not, problem says which there are.
func (c Card) Numbered(line string) (req *Request, problem string) {
	var typed []int
	for _, word := range strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ' ' }) {
		n, err := strconv.Atoi(word)
		if err != nil {
			return nil, ""
		}
		typed = append(typed, n)
	}
	last := len(c.Choices)
	if len(typed) == 1 && typed[0] >= 1 && typed[0] <= last {
		return &c.Choices[typed[0]-1].Request, ""
	}
	for _, p := range c.Picks {
		first := last + 1
		last += len(p.Items)
		if values := p.within(typed, first, last); values != nil && len(values) <= max(p.Most, 1) {
			picked := p.Picked(values...)
			return &picked, ""
		}
	}
	if len(typed) == 0 || last == 0 {
		return nil, ""
	}
	return nil, fmt.Sprintf("Pick 1 to %d, or ask again.", last)
}

// within are the values of the items that numbers name, where the items have the numbers first to last; nil where one
// names none.
func (p Pick) within(numbers []int, first, last int) []string {
	var values []string
	for _, n := range numbers {
		if n < first || n > last {
			return nil
		}
		values = append(values, p.Items[n-first].Value)
	}
	return values
}
