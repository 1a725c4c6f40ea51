package commands

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strconv"

	"holdbench/internal/knowledge"
)

const (
	aboutMeName   = "aboutme"
	confirmOption = "confirm"

	// What /aboutme does.
	doShow  = "show"
	doFile  = "file"
	doErase = "erase"
)

var aboutMeCommand = &Command{
	Name:    aboutMeName,
	Summary: "What is stored about you here: see it, take it away as a file, or have it erased",
	Help: "Stored are your platform id and shown name, your tests, your stock, and what you took on, put aside, agreed to and did to the log. " +
		"Erasing says first what goes and what stays, and happens only when you confirm it: your tests stay, by a former member.",
	Options: []Option{
		{Name: doOption, Help: "show it, give it as a file, or erase it; show unless said", Choices: []string{doShow, doFile, doErase}},
		{Name: confirmOption, Help: "the number that erasing asks for", Kind: Whole, Min: 100_000, Max: 999_999},
	},
	Who:      anyMember,
	Slow:     true,
	Private:  true,
	Examples: []string{"/aboutme", "/aboutme do:file", "/aboutme do:erase"},
	Run:      runAboutMe,
}

func runAboutMe(ctx context.Context, env *Env, req Request) (Card, error) {
	// Whoever asks is not put on the list by asking what stands there.
	r, err := env.Group.RecordOf(ctx, knowledge.Member{Ref: req.Asker.Ref})
	if isNotFound(err) {
		return Card{Title: "Nothing is stored about you here.", Verdict: "You come onto the list with the first thing you put on record."}, nil
	}
	if err != nil {
		return Card{}, err
	}
	switch req.value(doOption) {
	case doFile:
		return recordFileCard(ctx, env, r)
	case doErase:
		return eraseMe(ctx, env, r, req.value(confirmOption))
	}
	return recordCard(r), nil
}

// aboutMe is the request for one of the things the command does.
func aboutMe(do string) Request {
	return Request{Command: aboutMeName, Values: map[string]string{doOption: do}}
}

// recordCard says what is stored, and who can see it.
func recordCard(r knowledge.Record) Card {
	c := Card{Title: "What is stored about you here", Verdict: "Your name and platform id, and what you put on record:"}
	c.fact("Name", "%s, as last shown; platform id %s", r.Member.Name, r.Member.Ref)
	c.fact("On the list", "since %s, last as %s", r.Since.Format(dateForm), r.Member.Role)
	c.fact("Agreed to", "being mentioned: %s; being told of verdicts: %s", yesOrNo(r.Choices.MayMention), yesOrNo(r.Choices.TellVerdicts))
	c.fact("Tests", "%s%s, with day, set-up, time, your note and the link to a film", count(len(r.Tests), "test"), withdrawnWords(r.Tests))
	c.fact("Stock", "%s", count(len(r.Stock), "item"))
	c.fact("Taken on", "%s", count(len(r.Claims), "combination"))
	c.fact("Bench box", "%s put aside, %s emptied, %s logged", count(len(r.Box), "syringe"), count(r.Emptied, "place"), count(r.Batches, "session"))
	c.fact("Asked about", "%s in the last 60 days%s", count(len(r.Asked), "combination"), askedRemark(r))
	c.fact("Done to the log", "%s: withdrawn, corrected, checked, renamed …", count(len(r.Done), "thing"))
	c.line("The group sees your name on tests, on what you took on and in the box; the trainer's files can have it, too. Your stock is counted, and the trainer can take it as a file.")
	c.line("Not stored: your messages, and questions as you wrote them.")
	c.Actions = []Action{{Label: "all of it as a file", Request: aboutMe(doFile)}, {Label: "have it erased", Request: aboutMe(doErase)}}
	return c
}

func yesOrNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func withdrawnWords(tests []knowledge.BenchTest) string {
	out := 0
	for _, t := range tests {
		if t.State == knowledge.Withdrawn {
			out++
		}
	}
	if out == 0 {
		return ""
	}
	return fmt.Sprintf(", %d of them withdrawn", out)
}

func askedRemark(r knowledge.Record) string {
	if r.Choices.TellVerdicts {
		return ""
	}
	return "; it is kept only from a yes to verdicts on"
}

// recordFileCard gives all of it as a file.
func recordFileCard(ctx context.Context, env *Env, r knowledge.Record) (Card, error) {
	today, err := env.today(ctx)
	if err != nil {
		return Card{}, err
	}
	var data bytes.Buffer
	if err := env.Group.ExportRecord(ctx, &data, r.Member); err != nil {
		return Card{}, err
	}
	if data.Len() > mostExported {
		return Card{}, refuse("Ask whoever runs the bot for it.", "The file is too large for a message.")
	}
	file := File{Name: "aboutme-" + today.Format(dateForm) + ".csv", Type: "text/csv; charset=utf-8", Data: data.Bytes()}
	c := Card{Title: "What is stored about you, as a file", Files: []File{file}}
	c.fact(file.Name, "one thing a line, %s.", count(bytes.Count(file.Data, []byte("\n"))-1, "line"))
	c.Actions = []Action{{Label: "have it erased", Request: aboutMe(doErase)}}
	return c, nil
}

// confirmNumber is six digits that stand for one member of one community since they
// were put on its list: a button made for one person erases nobody else, and
// nobody who has come back.
func confirmNumber(env *Env, r knowledge.Record) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%s/%s/%s", env.Group.Ref(), r.Member.Ref, r.Since))
	return strconv.Itoa(100_000 + int(binary.BigEndian.Uint32(sum[:4])%900_000))
}

// eraseMe says what erasing does, and does it when the asker's own number is given.
func eraseMe(ctx context.Context, env *Env, r knowledge.Record, confirmed string) (Card, error) {
	own := confirmNumber(env, r)
	if confirmed != own {
		return beforeErasing(r, own), nil
	}
	e, err := env.Group.EraseMember(ctx, r.Member)
	if err != nil {
		return Card{}, err
	}
	env.usage.forget(r.Member.Ref)
	env.Conversations.forget(r.Member.Ref)
	env.faults().InfoContext(ctx, "a member had their record erased", "tests", e.Tests)
	c := Card{Title: "Erased. Nothing here says who you were.", Verdict: "If you come back, you start as new."}
	c.fact("Gone", "name and platform id, %s of stock, %s taken on, what you asked about and agreed to", count(e.Stock, "item"), count(e.Claims, "combination"))
	c.fact("Stays", "%s, by %s", count(e.Tests, "test"), knowledge.FormerMember)
	if e.Renamed > 0 {
		c.fact("Notes", "%s named you and no longer do", count(e.Renamed, "note"))
	}
	c.line("%s", backupWords)
	return c, nil
}

const backupWords = "Nightly backups made before still hold it, until they are old enough to be thrown away; whoever runs the bot knows when."

func beforeErasing(r knowledge.Record, own string) Card {
	c := Card{Title: "Erase what is stored about you?", Verdict: "Nothing is erased yet. It cannot be undone."}
	c.fact("Goes", "your name and platform id; %s of stock; %s taken on; what you agreed to and asked about; links to your films; "+
		"your name in notes and reasons, where it is written as it is stored", count(len(r.Stock), "item"), count(len(r.Claims), "combination"))
	c.fact("Stays", "your %s, and what you put in the bench box or did to the log, by “%s”", count(len(r.Tests), "test"), knowledge.FormerMember)
	c.line("They stay together as one person's, for the group's estimates tell testers apart. In a small group somebody may guess whose they are.")
	c.line("%s", backupWords)
	c.line("Messages in the chat are not kept here: those you delete there.")
	confirm := aboutMe(doErase).with(confirmOption, own)
	c.Actions = []Action{{Label: "erase me for good", Request: confirm}, {Label: "a file of it first", Request: aboutMe(doFile)}}
	return c
}
