package testsheet

import (
	"slices"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// placed is what a name of a sheet stands for.
type placed struct {
	known                       bool     // it is on a list
	product, instrument, person string   // as the lists write it
	syringe                     string   // if the name says it
	like                        []string // of the list, what it may mean
	near                        []string // the gels of the list whose names are nearly this one
	class                       string
	addable                     bool // whether it can be added as it is read
}

// mostKept names, and as many values, are remembered: a sheet has the same ones again and again.
const mostKept = 10_000

// place finds a name on the lists, or what it is like.
func (p *Plan) place(field Field, text string, syringeSaid bool) placed {
	key := string(field) + "\x00" + text
	if syringeSaid {
		key += "\x00"
	}
	if is, kept := p.names[key]; kept {
		return is
	}
	var is placed
	switch field {
	case Gel:
		is = p.placeGel(text)
	case Instrument:
		is = p.placeInstrument(text, syringeSaid)
	case Person:
		is = p.placePerson(text)
	case Class:
		if class, ok := question.ReadClass(text); ok {
			is = placed{known: true, class: string(class)}
		} else {
			is = p.placeClass()
		}
	case Setup:
		if read := p.readSetup(text); read != nil {
			is = placed{known: true, product: read.Product.Name, instrument: read.Instrument.Name(),
				syringe: read.Syringe.Filled().Name}
		}
	}
	if len(p.names) >= mostKept {
		clear(p.names)
	}
	p.names[key] = is
	return is
}

func (p *Plan) placeGel(text string) placed {
	read := p.lists.Index.ReadProduct(text)
	if read.Known {
		return placed{known: true, product: read.Product.Name}
	}
	is := placed{product: trade.Tidy(text), addable: true}
	for _, g := range p.lists.Similar(text) {
		is.near = append(is.near, g.Name)
	}
	is.near = is.near[:min(len(is.near), mostLike)]
	is.like = slices.Clone(is.near)
	for _, like := range read.Options {
		if !slices.Contains(is.like, like.Name) {
			is.like = append(is.like, like.Name)
		}
	}
	is.like = is.like[:min(len(is.like), mostLike)]
	return is
}

// mostLike is how many gels of the list are offered in place of a name.
const mostLike = 4

// placeInstrument: a needle that can be read and is on no list can be added as it is read.
func (p *Plan) placeInstrument(text string, syringeSaid bool) placed {
	read, clear := p.setupOf(text, syringeSaid)
	if clear {
		is := placed{known: read.Instrument.ID != 0, instrument: read.Instrument.Name(), addable: true}
		if read.Syringe.Name != "" || read.Syringe.FixedNeedle {
			is.syringe = read.Syringe.Filled().Name
		}
		for _, i := range p.lists.Instruments {
			if !is.known && i.Gauge == read.Instrument.Gauge && i.Kind == read.Instrument.Kind && len(is.like) < 4 {
				is.like = append(is.like, i.Name())
			}
		}
		return is
	}
	var is placed
	if read.Instrument.Gauge != 0 {
		is.like = []string{read.Instrument.Name()}
	}
	for _, i := range read.Instruments[:min(len(read.Instruments), 8)] {
		is.like = append(is.like, i.Name())
	}
	return is
}

// setupOf reads a needle and what may stand beside it; clear is false if words are left over.
// A number alone at the end is the length: the cell of a needle holds no other number, as in
// "27g cannula 38".
func (p *Plan) setupOf(text string, syringeSaid bool) (read question.SetupRead, clear bool) {
	is := func(r question.SetupRead) bool {
		return r.Instrument.Gauge != 0 && (r.Known || syringeSaid) && len(r.Rest) == 0 && r.PullML == 0
	}
	read = p.lists.Index.ReadSetup(text)
	if is(read) || text == "" || text[len(text)-1] < '0' || text[len(text)-1] > '9' {
		return read, is(read)
	}
	if ended := p.lists.Index.ReadSetup(text + " mm"); is(ended) {
		return ended, true
	}
	return read, false
}

func (p *Plan) readInstrument(text string) (trade.Instrument, bool) {
	read, clear := p.setupOf(text, true)
	return read.Instrument, clear && read.Instrument.Validate() == nil
}

// readSetup reads a gel and a needle in one cell, nil if it says anything else.
func (p *Plan) readSetup(text string) *question.Reading {
	read := p.lists.Index.Read(text)
	if read.Outcome != question.One || len(read.Rest) > 0 || read.PullML != 0 || read.BySeconds != 0 {
		return nil
	}
	return &read
}

func (p *Plan) placePerson(text string) placed {
	if m, ok := p.lists.member(text); ok {
		return placed{known: true, person: m}
	}
	is := placed{person: trade.Tidy(text), addable: true}
	alike := func(m string) bool {
		a, b := []rune(trade.Fold(m)), []rune(trade.Fold(text))
		n := min(3, len(a), len(b))
		return n > 0 && (string(a[:n]) == string(b[:n]) ||
			strings.Contains(" "+trade.Fold(text)+" ", " "+trade.Fold(m)+" "))
	}
	for _, first := range []bool{true, false} {
		for _, m := range p.lists.Members {
			if alike(m) == first && len(is.like) < mostOffered {
				is.like = append(is.like, m)
			}
		}
	}
	return is
}

// decided is what a name stands for, after any answer about it. out is true if its rows are to
// be left out; problem says that nothing was answered.
func (p *Plan) decided(field Field, text string, syringeSaid bool) (is placed, out bool, problem string) {
	if is = p.place(field, text, syringeSaid); is.known {
		return is, false, ""
	}
	say := p.answers[nameKey(field, text)]
	meant, renamed := strings.CutPrefix(say, ItIs)
	switch {
	case renamed:
		is = p.place(field, meant, syringeSaid)
		return is, false, ""
	case say == LeaveOut:
		return is, true, ""
	case say == Add, strings.HasPrefix(say, addAs):
		return is, false, ""
	}
	return is, false, string(field) + ": \"" + text + "\" is on no list"
}
