package testsheet

import (
	"regexp"
	"slices"
	"strings"

	"holdbench/internal/calc"
	"holdbench/internal/commands/logline"
	"holdbench/internal/commands/question"
	"holdbench/internal/quantity"
	"holdbench/internal/trade"
)

// Answers in somebody's own words, after logline.PlainReply.
var (
	leaveWords = regexp.MustCompile(`^(?:leave (?:it |them |that |this |these |those )?out|leave (?:it|them)|nothing` +
		`|(?:skip|ignore|drop|omit)(?: (?:it|them|that|this|these|those|the column|the rows?))?)$`)
	addWords = regexp.MustCompile(`^(?:yes,? )?(?:please )?(?:add(?: (?:it|them|her|him))?|(?:it is )?a?(?:nother)? ?` +
		`new(?: gel| one| member)?` +
		`|another(?: gel| one)?)(?:$|[ ,:]+)`)
	beforeClass = regexp.MustCompile(`^(?:as|of|in|with|the|an?|is|it is|class|gel|type)(?: |$)`)
	beforeName  = regexp.MustCompile(`^(?:it'?s|it is|(?:the )?same as|means?|meant|=|is)[ :]+`)
	sameWord    = regexp.MustCompile(`^(?:(?:the )?same(?: as above| again| one| gel)?|as above|ditto)$`)
	dayWords    = regexp.MustCompile(`^(?:days? (?:comes? )?first|days?[ /.-]months?(?:[ /.-]years?)?` +
		`|dd?[/.-]mm?(?:[/.-]y+)?)$`)
	monthWords = regexp.MustCompile(`^(?:months? (?:comes? )?first|months?[ /.-]days?(?:[ /.-]years?)?` +
		`|mm?[/.-]dd?(?:[/.-]y+)?)$`)
)

// Accepts reads an answer as a reply in chat is read. It returns the answer as it is kept, and
// whether it is one.
func (p *Plan) Accepts(q Question, say string) (string, bool) {
	say = strings.Join(strings.Fields(say), " ")
	for _, a := range q.Answers {
		if strings.EqualFold(a.Say, say) || strings.EqualFold(a.Label, say) {
			return a.Say, true
		}
	}
	plain := logline.PlainReply(say)
	if n := logline.Nth(say, len(q.Answers)); n >= 0 {
		return q.Answers[n].Say, true
	}
	kind, rest, _ := strings.Cut(q.Key, " ")
	switch {
	case q.Key == watchedKey:
		v, err := quantity.Seconds(plain)
		return trade.Number(v), err == nil && v > 0 && v <= trade.LongestWatchS
	case q.Key == orderKey && dayWords.MatchString(plain):
		return DayFirst, true
	case q.Key == orderKey:
		return MonthFirst, monthWords.MatchString(plain)
	case kind+" " == blankKey:
		yes, is := logline.YesNo(plain)
		if yes || sameWord.MatchString(plain) {
			return asAbove, true
		}
		return leaveBlank, is
	case kind+" " == everyRowKey:
		return firstThatStands(say, plain, func(name string) bool { return p.canStand(Field(rest), name) })
	case leaveWords.MatchString(plain):
		return LeaveOut, true
	case kind+" " == columnKey:
		field, sure := meaning(strings.TrimPrefix(plain, "the "))
		return string(field), sure && slices.Contains(p.Kind.holds(), field)
	}
	return p.acceptsName(Field(kind), q, say, plain)
}

// firstThatStands is the first form of an answer that can stand: as it was typed, or without
// the words around it.
func firstThatStands(say, plain string, stands func(name string) bool) (string, bool) {
	for _, name := range []string{say, beforeName.ReplaceAllString(strings.ToLower(say), ""),
		beforeName.ReplaceAllString(plain, "")} {
		if name != "" && stands(name) {
			return name, true
		}
	}
	return "", false
}

// acceptsName reads an answer about a name that is on no list: which of the list it is, or that
// it is to be added, a gel with its class.
func (p *Plan) acceptsName(field Field, q Question, say, plain string) (string, bool) {
	if name, is := firstThatStands(say, plain, func(name string) bool { return p.canStand(field, name) }); is {
		return ItIs + name, true
	}
	yes, is := logline.YesNo(plain)
	no := is && !yes && p.Kind != Stock // which asks what it is, not whether it is another
	if len(q.near) == 1 && (no || sameWord.MatchString(plain)) {
		return ItIs + q.near[0], true
	}
	said := addWords.FindString(plain)
	if len(q.near) > 0 && yes {
		said = plain
	}
	rest := plain[len(said):]
	for m := beforeClass.FindString(rest); m != ""; m = beforeClass.FindString(rest) {
		rest = rest[len(m):]
	}
	if said != "" && rest == "" {
		return q.offered(func(say string) bool { return say == Add || strings.HasPrefix(say, addAs) })
	}
	class, is := question.ReadClass(rest)
	switch {
	case field != Gel || !is || p.Kind != Tests: // a list of gels says their classes itself
		return "", false
	case class != calc.UnknownGel:
		return addAs + string(class), true
	case said == "":
		return "", false // "not sure" adds nothing
	}
	return q.offered(func(say string) bool { return say == Add })
}

// offered is the first of the offered answers for which is holds.
func (q Question) offered(is func(say string) bool) (string, bool) {
	i := slices.IndexFunc(q.Answers, func(a Answer) bool { return is(a.Say) })
	if i < 0 {
		return "", false
	}
	return q.Answers[i].Say, true
}

// canStand reports whether a name is on a list, or is a needle, class or day that can be read.
func (p *Plan) canStand(field Field, text string) bool {
	switch field {
	case Gel:
		added, _ := p.New()
		return p.lists.Index.ReadProduct(text).Known ||
			slices.ContainsFunc(added, func(g trade.Product) bool { return g.GoesBy(text) })
	case Instrument:
		_, ok := p.readInstrument(text)
		return ok
	case Person:
		_, ok := p.lists.member(text)
		return ok
	case Class:
		_, ok := question.ReadClass(text)
		return ok
	case Setup:
		return p.readSetup(text) != nil
	case Day:
		_, err := quantity.Day(text, p.lists.Today)
		return err == nil
	}
	return false
}
