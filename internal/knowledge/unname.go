package knowledge

import (
	"context"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"holdbench/internal/database"
)

// writtenTexts are the columns with free text. Names of gels and syringes are left out:
// without them the log would no longer say what was tested.
var writtenTexts = [...]struct{ table, column string }{
	{"tests", "note"},
	{"tests", "liquid"},
	{"test_changes", "reason"},
	{"list_changes", "reason"},
	{"batch_results", "problem"},
}

// unname replaces a member's id or name in notes and reasons by "a former member". The
// refusals in the member's bench sessions, which quote what they typed, are blanked.
func (g *Group) unname(ctx context.Context, q querier, m Member, e *ErasedMember) error {
	err := q.do(ctx, `
		UPDATE batch_results SET problem = 'not stored'
		WHERE community_id = ? AND problem <> '' AND batch_id IN (
			SELECT id FROM batches WHERE community_id = ? AND member_id = ?)`, g.id, g.id, m.ID)
	if err != nil {
		return err
	}
	named, err := g.namedAs(ctx, q, m)
	if err != nil || named == nil {
		return err
	}
	for _, w := range writtenTexts {
		n, err := g.unnameColumn(ctx, q, named, w.table, w.column)
		if err != nil {
			return err
		}
		e.Renamed += n
	}
	return nil
}

// unnameColumn replaces a name in a column. It goes by distinct texts, so that a frequent one
// is changed once.
func (g *Group) unnameColumn(ctx context.Context, q querier, named *regexp.Regexp, table, column string) (renamed int,
	err error) {
	texts, err := database.Collect(ctx, q, database.Column[string],
		`SELECT DISTINCT `+column+` FROM `+table+` WHERE community_id = ? AND `+column+` <> ''`, g.id)
	if err != nil {
		return 0, err
	}
	for _, text := range texts {
		without := text
		for range 2 { // two names side by side share the space between them
			without = named.ReplaceAllString(without, "${1}"+FormerMember+"${2}")
		}
		if without == text {
			continue
		}
		n, err := q.Exec(ctx, `
			UPDATE `+table+` SET `+column+` = ? WHERE community_id = ? AND `+column+` = ?`, without, g.id, text)
		if err != nil {
			return 0, err
		}
		renamed += int(n)
	}
	return renamed, nil
}

// shortestName is how many characters a name must have to be looked for in texts: a shorter
// one is too often another word.
const shortestName = 3

// namedAs matches a member's id or name as a word of its own in any letter case, nil for
// nothing to match. A name that is also a word of the trade or of the group's lists is not
// looked for: a member called "needle" must not spoil everybody's notes.
func (g *Group) namedAs(ctx context.Context, q querier, m Member) (*regexp.Regexp, error) {
	v, err := g.vocabulary(ctx, q)
	if err != nil {
		return nil, err
	}
	ofTrade := tradeWords(v)
	var forms []string
	for _, name := range []string{m.Ref, m.Name} {
		words := strings.Fields(strings.ToLower(name))
		common := !slices.ContainsFunc(words, func(w string) bool { return !ofTrade[strings.Trim(w, ".,;:()")] })
		if utf8.RuneCountInString(name) >= shortestName && !common {
			forms = append(forms, strings.Join(quoted(strings.Fields(name)), `\s+`))
		}
	}
	if len(forms) == 0 {
		return nil, nil
	}
	// \b knows only Latin letters, so the edges are written out.
	return regexp.Compile(`(?i)(^|[^\pL\pN])(?:` + strings.Join(forms, "|") + `)([^\pL\pN]|$)`)
}

func quoted(words []string) []string {
	for i, w := range words {
		words[i] = regexp.QuoteMeta(w)
	}
	return words
}

// tradeWords returns the words that are common in notes.
func tradeWords(v *Vocabulary) map[string]bool {
	words := map[string]bool{}
	texts := []string{
		"gel needle cannula syringe hub bore pull suction hold flashback none bench test tests tester trainer member " +
			"liquid milk glycerol water " +
			"video stopwatch film frame fps tip box lot batch wall thin regular clogged clog warm cold new old first " +
			"second last again slow fast " +
			"the and for was were not with from out too his her all one two",
	}
	for _, p := range v.Products {
		texts = append(texts, p.Name, strings.Join(p.Aliases, " "), string(p.Class))
	}
	for _, s := range v.Syringes {
		texts = append(texts, s.Name)
	}
	for _, word := range strings.Fields(strings.ToLower(strings.Join(texts, " "))) {
		words[word] = true
	}
	return words
}
