package discord

import (
	"context"
	"errors"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/fault"
)

// Discord waits three seconds for the first answer to an interaction, and takes
// more for a quarter of an hour (interactions/receiving-and-responding).
const (
	answerWithin = 3 * time.Second
	tokenLife    = 15 * time.Minute

	// An answer that is not there after this is deferred; what is left of the
	// three seconds is for the deferral to get through.
	deferAfter = 1200 * time.Millisecond
	// lastMoment is when a first answer no longer gets there.
	lastMoment = answerWithin - 100*time.Millisecond
	// workLimit is how long an answer may take.
	workLimit = time.Minute
	// editLimit is how long a deferred answer may be on its way.
	editLimit = 5 * time.Minute
)

// showing is how an answer is shown.
type showing int

const (
	asNew   showing = iota // as a message of its own, for the asker alone where others are
	openly                 // as a message of its own, for all to see
	inPlace                // in place of the message that was pressed on
)

// turn is one interaction being answered.
type turn struct {
	bot      *Bot
	ix       interaction
	received time.Time
	showing  showing
	server   string // the server whose group is asked, once that is known
	env      *commands.Env
	asker    commands.Asker
	command  string // that is asked for, "" where it is none
	said     string // the text of a message

	others    []string // the other servers whose groups the asker could ask, in a direct message
	switching bool     // the server was chosen to answer from now on
	choosing  bool     // another one is to be chosen

	deferred bool // "thinking" is shown
	done     bool // there is an answer
	dead     bool // Discord did not take the first answer: the asker reads that the bot did not respond
	maybe    bool // that is not certain: Discord may have taken it, and said so in vain
}

// place is where the answer will stand.
func (t *turn) place() place {
	p := place{server: t.server, direct: t.ix.server == "", hidden: t.hidden(), bytes: int(t.ix.bytes)}
	if !p.direct && !p.hidden {
		p.asker = t.ix.person.id
	}
	return p
}

// hidden reports whether the asker alone will see the answer.
func (t *turn) hidden() bool {
	switch {
	case t.ix.server == "":
		return false
	case t.showing == inPlace:
		return t.ix.source.At("flags").Whole()&flagHidden != 0
	}
	return t.showing == asNew
}

// ask is the answer to a request as it is shown.
func (t *turn) ask(ctx context.Context, req commands.Request) message {
	if m, settled := t.settle(ctx, req); !settled {
		return m
	}
	if req.Command == switchOnly && t.switching {
		return t.bot.message(commands.Switched(ctx, t.env, t.bot.title(ctx, t.server)), t.place(), "")
	}
	card := t.bot.answer(ctx, t.env, t.signed(req))
	var earlier []commands.Stored
	if !card.Urgent { // beside the direction in an emergency nothing is said
		earlier = t.earlier(ctx)
	}
	m := t.shown(ctx, card, req, earlier)
	m.confirms, m.renewal = earlier, t.renewal(card, req, earlier)
	if ctx.Err() != nil && card.Refused {
		m.outcome = Late
	}
	return m
}

// shown is a Card as the answer to a request, with what was stored earlier in front.
func (t *turn) shown(ctx context.Context, card commands.Card, req commands.Request, earlier []commands.Stored) message {
	where := t.place()
	where.more = t.groupButton(ctx, card, req)
	return t.bot.message(t.groupFact(ctx, commands.Confirming(card, earlier)), where, t.share(card, req))
}

// signed is a request with who asks, and under which name it is known should it
// come twice.
func (t *turn) signed(req commands.Request) commands.Request {
	req.Asker, req.Place, req.At = t.asker, t.ix.channel, madeAt(t.ix.id)
	if req.Key == "" {
		req.Key = t.ix.id
	}
	return req
}

// share is the button that shows an answer to the channel, "" where it is no use
// to others or all see it already.
func (t *turn) share(card commands.Card, req commands.Request) string {
	cmd := t.bot.commands[req.Command]
	if card.Share != nil {
		req = *card.Share
	}
	if cmd == nil || !cmd.Shared && card.Share == nil || !t.place().hidden || card.Refused || card.Failed ||
		card.Bare ||
		len(card.Choices) > 0 {
		return ""
	}
	return string(showKind) + t.bot.carry(t.place(), req, maxCustomID-1)
}

// settle finds the group that is asked and who asks. In a direct message there
// may be none, or several to choose from: that is the answer then.
func (t *turn) settle(ctx context.Context, req commands.Request) (message, bool) {
	if t.ix.server != "" {
		t.server = t.ix.server
	} else {
		found, settled, err := t.bot.serversOf(ctx, t.ix.person.id, t.server)
		if err != nil {
			return t.broken(ctx, err), false
		}
		if !settled || t.choosing {
			return t.bot.noneOrSeveral(ctx, found, req), false
		}
		t.server, t.others = found[0], found[1:]
	}
	env, err := t.bot.env(ctx, t.server)
	if err != nil {
		return t.broken(ctx, err), false
	}
	t.env, t.asker = env, t.bot.asker(ctx, env, t.server, t.ix.person, t.ix.server != "")
	if t.switching {
		t.remember(ctx)
	} else {
		t.bot.chosen.Put(t.ix.person.id, t.server)
	}
	return message{}, true
}

// finish gives the answer that work makes. Slow work is deferred at once; other work
// when it takes too long, in the queue or in the making. Where Discord does not take
// the deferral the asker reads that the bot did not respond: then nothing is done, or
// what is logged once more would be there twice.
func (t *turn) finish(ctx context.Context, slow bool, do func(context.Context) message) {
	working, stop := context.WithCancel(ctx)
	defer stop()
	if slow && !t.deferResponse(ctx) {
		t.respond(ctx, t.bot.message(commands.NotTaken(ctx, t.words()), t.place(), ""))
		return
	}
	made := make(chan message, 1)
	go func() { made <- t.work(working, do) }()
	late := time.NewTimer(time.Until(t.received.Add(deferAfter)))
	defer late.Stop()
	for {
		select {
		case m := <-made:
			t.respond(ctx, m)
			return
		case <-late.C:
			if !t.deferResponse(ctx) {
				stop()
			}
		}
	}
}

// work waits for its turn and does what has to be done. A panic is an apology to
// one asker.
func (t *turn) work(ctx context.Context, do func(context.Context) message) (m message) {
	ctx, stop := context.WithTimeout(ctx, workLimit)
	defer stop()
	defer func() {
		if r := recover(); r != nil {
			m = t.broken(ctx, fault.Panicked(r))
		}
	}()
	leave, err := t.bot.answerWork.enter(ctx, t.community())
	if errors.Is(err, errFull) {
		return t.bot.message(commands.Busy(ctx, t.words()), t.place(), "")
	}
	if err != nil {
		return t.broken(ctx, err)
	}
	defer leave()
	return do(ctx)
}

// community is whose work it is where no group is settled yet: in a direct message
// the asker's own.
func (t *turn) community() string {
	if t.ix.server != "" {
		return t.ix.server
	}
	return "@" + t.ix.person.id
}

// words is an Env for words that have nothing to do with any group.
func (t *turn) words() *commands.Env {
	if t.env != nil {
		return t.env
	}
	return t.bot.communities.WithoutGroup(t.bot.log.With("community", t.ix.server))
}

// broken is the message for a fault of ours.
func (t *turn) broken(ctx context.Context, err error) message {
	return t.bot.message(commands.Broken(ctx, t.words(), t.bot.loggable(err, t.typed()...)), t.place(), "")
}

// typed are all texts that came with what is being answered.
func (t *turn) typed() []string { return append(t.ix.data.Texts(), t.said) }

// ended is the message for what is asked while the program ends.
func (t *turn) ended(ctx context.Context) message {
	return t.bot.message(commands.Ending(ctx, t.words()), t.place(), "")
}

// stale makes the message for a button whose question is no longer known, but
// for the command, which may be "".
func (t *turn) stale(command string) func(context.Context) message {
	return func(ctx context.Context) message {
		return t.bot.message(commands.Stale(ctx, t.words(), command), t.place(), "")
	}
}

// rescue is for what goes wrong outside of work: an apology, if there is time.
func (t *turn) rescue(ctx context.Context) {
	if r := recover(); r != nil {
		t.respond(ctx, t.broken(ctx, fault.Panicked(r)))
	}
}
