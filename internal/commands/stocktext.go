package commands

import (
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/commands/question"
	"holdbench/internal/trade"
)

// saidItem is one gel on one needle or cannula, as typed. The set-up may be empty.
type saidItem struct{ gel, setup string }

// stockItem is what was typed and what it was read as. A gel that is new to the group has no number; the instrument is
// empty where none was named.
type stockItem struct {
	said        saidItem
	combination trade.Combination
	syringeSaid bool
}

// covers reports whether what was typed includes a combination that is held: all of the gel where no needle is named.
func (s stockItem) covers(held trade.Combination) bool {
	return s.combination.Product.ID == held.Product.ID &&
		(!s.syringeSaid || s.combination.Syringe.Name == held.Syringe.Name) &&
		(s.combination.Instrument == trade.Instrument{} || s.combination.Instrument.Name() == held.Instrument.Name())
}

var (
	// stockBreak separates the things held, but is not the comma of 0,5 mL.
	stockBreak = regexp.MustCompile(`(?i)[,;]\s+|;|[,.]$|\s(?:and|plus|&|\+)\s|\n`)
	gaugeWord  = regexp.MustCompile(`(?i)\b\d{2}\s*g(?:auge)?`)
	gaugeKind  = regexp.MustCompile(`(?i)(?:^|\s)(needle|cannula)s?:?$`)
	gaugeLink  = regexp.MustCompile(`(?i)(?:^|\s)(?:with|on|in|using|through|a|the|my):?$`)
	syringeSay = regexp.MustCompile(`(?i)\bsyringe|\bfixed|^supplied$`)
)

// saidStock splits a message into items: a gel with each needle or cannula that follows it, or a gel alone.
func saidStock(call *Call) ([]saidItem, error) {
	if call.About != "" {
		c, err := pinned(call.lists, call.About)
		return []saidItem{{c.Product.Name, setupWords(c)}}, err
	}
	s := &stockText{gel: call.value(productOption)}
	s.bare = s.gel != ""
	for _, text := range []string{call.text, call.value(instrumentOption), call.value(syringeOption)} {
		for _, part := range stockBreak.Split(text, -1) {
			s.add(strings.TrimSpace(part))
		}
	}
	s.end()
	return s.items, nil
}

// stockText is a message while it is being split.
type stockText struct {
	gel   string
	bare  bool // the gel has no needle yet
	items []saidItem
}

func (s *stockText) add(part string) {
	gauges := gaugeWord.FindAllStringIndex(part, -1)
	last := len(s.items) - 1
	switch {
	case part == "":
	case len(gauges) == 0 && syringeSay.MatchString(part) && last >= 0 && !s.bare:
		s.items[last].setup += ", " + part
	case len(gauges) == 0:
		s.named(part)
	default:
		before := strings.TrimSpace(part[:gauges[0][0]])
		kind := ""
		for cut := true; cut; {
			before, cut = cutEnd(gaugeLink, before)
			if m := gaugeKind.FindStringSubmatch(before); m != nil {
				kind, cut = m[1]+" ", true
				before, _ = cutEnd(gaugeKind, before)
			}
		}
		s.named(before)
		for i, at := range gauges {
			end := len(part)
			if i+1 < len(gauges) {
				end = gauges[i+1][0]
			}
			s.items = append(s.items, saidItem{s.gel, strings.TrimSpace(kind + part[at[0]:end])})
		}
		s.bare = false
	}
}

// named begins a gel.
func (s *stockText) named(gel string) {
	if gel = strings.TrimRight(gel, " :,"); gel == "" {
		return
	}
	s.end()
	s.gel, s.bare = gel, true
}

// end adds the gel by itself if it has no needle.
func (s *stockText) end() {
	if s.bare {
		s.items = append(s.items, saidItem{gel: s.gel})
	}
	s.bare = false
}

// cutEnd cuts a pattern, and what follows it, off a text; found reports whether it was there.
func cutEnd(pattern *regexp.Regexp, text string) (before string, found bool) {
	at := pattern.FindStringIndex(text)
	if at == nil {
		return text, false
	}
	return strings.TrimSpace(text[:at[0]]), true
}

// readStock reads what was typed. It asks back where a needle could be more than one. A gel that is not on the list
// gets the number 0.
func readStock(call *Call, said []saidItem) ([]stockItem, error) {
	var items []stockItem
	for i, one := range said {
		if one.gel == "" {
			return nil, refuse("Write for example: /stock add Dunmere Deep 27G 13 mm.",
				"Which gel is used on the %s?", echo(one.setup))
		}
		item := stockItem{said: one, syringeSaid: syringeSay.MatchString(one.setup)}
		var listed bool
		if item.combination.Product, listed = call.lists.Product(one.gel); !listed {
			item.combination.Product = trade.Product{Name: one.gel}
		}
		if err := item.readSetup(call, said, i); err != nil {
			return nil, err
		}
		items = append(items, item)
	}
	return items, nil
}

// readSetup reads the needle or cannula and the syringe of one item.
func (s *stockItem) readSetup(call *Call, said []saidItem, place int) (err error) {
	if s.said.setup == "" {
		return nil
	}
	instrument, syringe := readSetup(call.index, s.said.setup)
	s.combination.Instrument, err = trade.ReadInstrument(instrument)
	if err == nil {
		s.combination.Syringe, err = trade.ReadSyringe(syringe)
	}
	if err == nil {
		return nil
	}
	read := call.index.ReadSetup(s.said.setup)
	options := make([]trade.Combination, 0, len(read.Instruments)+len(read.Syringes))
	for _, in := range read.Instruments {
		options = append(options, trade.Combination{Instrument: in, Syringe: trade.Syringe{}.Filled()})
	}
	for _, sy := range read.Syringes {
		options = append(options, trade.Combination{Instrument: read.Instrument, Syringe: sy.Filled()})
	}
	if len(options) == 0 {
		return err
	}
	back := &questionBack{Card{Title: echo(s.said.setup) + " could be more than one needle or cannula. Which?"}}
	for _, c := range options[:min(len(options), question.MaxChoices)] {
		instead := slices.Clone(said)
		instead[place].setup = setupWords(c)
		back.Choices = append(back.Choices, Choice{Label: setupWords(c), Request: call.saying(instead)})
	}
	return back
}

// saying is the same request with these things typed.
func (r Request) saying(said []saidItem) Request {
	var parts []string
	for _, one := range said {
		parts = append(parts, strings.TrimSpace(one.gel+" "+one.setup))
	}
	again := Request{Command: r.Command, Text: strings.Join(parts, "; "), Asker: r.Asker, Values: map[string]string{}}
	for _, name := range []string{classOption, sameOption} {
		if v := r.value(name); v != "" {
			again.Values[name] = v
		}
	}
	return again
}
