package commands

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strconv"

	"holdbench/internal/knowledge"
)

const (
	eraseName     = "me erase"
	confirmOption = "confirm"
)

var eraseCommand = &Command{
	Name:    eraseName,
	Summary: "Have what is stored about you here erased; it says first what goes and what stays",
	Help:    "Nothing is erased before you confirm. Your tests stay, by a former member. It cannot be undone.",
	Options: []Option{
		{Name: confirmOption, Help: "the number that erasing asks for", Kind: Whole, Min: 100_000, Max: 999_999},
	},
	Who:      anyMember,
	Private:  true,
	Examples: []string{"/me erase"},
	Run:      onRecord(eraseMe),
}

// confirmNumber is six digits made from the community, the member and the time they came onto its list. So a button
// made for one person erases nobody else, and nobody who has left and come back.
func confirmNumber(env *Env, r knowledge.Record) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s/%s/%s", env.Group.Ref(), r.Member.Ref, r.Since))
	return strconv.Itoa(100_000 + int(binary.BigEndian.Uint32(sum[:4])%900_000))
}

// eraseMe says what erasing does, and does it when the asker's own number is given.
func eraseMe(ctx context.Context, env *Env, call *Call, r knowledge.Record) (Card, error) {
	own := confirmNumber(env, r)
	if call.value(confirmOption) != own {
		return beforeErasing(r, own), nil
	}
	e, err := env.Group.EraseMember(ctx, r.Member)
	if err != nil {
		return Card{}, err
	}
	env.forget(ctx, r.Member, "a member had their record erased", e)
	return erasedCard(e, "Erased. Nothing here says who you were.", "If you come back, you start as new."), nil
}

// forget drops what is kept in memory of an erased member, and logs that they were erased.
func (env *Env) forget(ctx context.Context, m knowledge.Member, what string, e knowledge.ErasedMember) {
	env.usages().Take(m.Ref)
	env.Conversations.forget(m.Ref)
	env.faults().InfoContext(ctx, what, "tests", e.Tests)
}

// erasedCard says what became of a record.
func erasedCard(e knowledge.ErasedMember, title, verdict string) Card {
	c := Card{Title: title, Verdict: verdict}
	c.fact("Gone", "name and platform id, %s of stock, %s taken on, what was asked about and agreed to",
		count(e.Stock, "item"), count(e.Claims, "combination"))
	c.fact("Stays", "%s, by %s", count(e.Tests, "test"), knowledge.FormerMember)
	if e.Renamed > 0 {
		c.fact("Notes", "the name was taken out of %s", count(e.Renamed, "note"))
	}
	c.line("%s", backupWords)
	return c
}

const backupWords = "Nightly backups made earlier still have it until they are old enough to be deleted; whoever " +
	"runs the bot knows when."

func beforeErasing(r knowledge.Record, own string) Card {
	c := Card{Title: "Erase what is stored about you?"}
	c.erases(r, "you", "your")
	c.line("They stay together as one person's, because the group's estimates tell testers apart. In a small group " +
		"somebody may guess whose they are.")
	c.line("%s", backupWords)
	c.line("This tool keeps no chat messages: delete yours in the chat.")
	c.Actions = []Action{toAsk("erase me for good", eraseName).with(confirmOption, own),
		toAsk("a file of it first", myFileName)}
	return c
}

// erases says what erasing a record takes away and what it leaves. who and whose are "you" and "your", or "they" and
// "their".
func (c *Card) erases(r knowledge.Record, who, whose string) {
	c.Verdict = "Nothing is erased yet. It cannot be undone."
	c.fact("Goes", "%s name and platform id; %s of stock; %s taken on; what %s agreed to and asked about; links to %s "+
		"films; %s name in notes and reasons, where it is spelled as stored", whose, count(len(r.Stock), "item"),
		count(len(r.Claims), "combination"), who, whose, whose)
	c.fact("Stays", "%s %s, and what %s put in the bench box or did to the log, by “%s”", whose,
		count(len(r.Tests), "test"), who, knowledge.FormerMember)
}
