package discord

import (
	"context"
	"errors"
	"time"

	"holdbench/internal/commands"
	"holdbench/internal/fault"
)

// Discord waits three seconds for the first answer to an interaction, and takes edits and more messages for a quarter
// of an hour (interactions/receiving-and-responding).
const (
	answerWithin = 3 * time.Second
	tokenLife    = 15 * time.Minute

	// deferAfter is when an answer that is not ready is deferred. The rest of the three seconds is for sending that.
	deferAfter = 1200 * time.Millisecond
	// lastMoment is when sending a first answer is given up.
	lastMoment = answerWithin - 100*time.Millisecond
	// workLimit is how long making an answer may take.
	workLimit = time.Minute
	// editLimit is how long sending a deferred answer may take.
	editLimit = 5 * time.Minute
)

// showing is how an answer is shown.
type showing int

const (
	asNew   showing = iota // as a new message, which in a server only the asker can see
	openly                 // as a new message that everybody can see
	inPlace                // in place of the message that was pressed on
)

// turn is one interaction or message being answered.
type turn struct {
	bot      *Bot
	ix       interaction
	received time.Time
	showing  showing
	server   string // whose group is asked, once that is known
	env      *commands.Env
	asker    commands.Asker
	command  string // the command that is asked for, "" for none
	said     string // the text of a message

	others    []string // in a direct message: the other servers whose groups the asker could ask
	switching bool     // the asker has chosen the server to answer direct messages
	choosing  bool     // the asker wants to choose another server

	deferred bool // "thinking" is shown
	done     bool // the answer is shown
	dead     bool // Discord did not take the first answer: the asker reads that the bot did not respond
	maybe    bool // dead, but Discord may have taken it although its reply did not arrive
}

// place is where the answer will stand.
func (t *turn) place() place {
	p := place{server: t.server, direct: t.ix.server == "", hidden: t.hidden(), bytes: int(t.ix.bytes)}
	if !p.direct && !p.hidden {
		p.asker = t.ix.person.id
	}
	return p
}

// hidden reports whether only the asker will see the answer.
func (t *turn) hidden() bool {
	switch {
	case t.ix.server == "":
		return false
	case t.showing == inPlace:
		return t.ix.source.At("flags").Whole()&flagHidden != 0
	}
	return t.showing == asNew
}

// ask answers a request.
func (t *turn) ask(ctx context.Context, req commands.Request) message {
	if m, settled := t.settle(ctx, req); !settled {
		return m
	}
	if req.Command == switchOnly && t.switching {
		return t.bot.message(commands.Switched(ctx, t.env, t.bot.title(ctx, t.server)), t.place(), "")
	}
	card := t.bot.answer(ctx, t.env, t.signed(req))
	var earlier []commands.Stored
	if !card.Urgent { // nothing is added to the direction for an emergency
		earlier = t.earlier(ctx)
	}
	m := t.shown(ctx, card, req, earlier)
	m.confirms, m.renewal = earlier, t.renewal(card, req, earlier)
	if ctx.Err() != nil && card.Refused {
		m.outcome = Late
	}
	return m
}

// shown makes a Card the message that answers a request, with what was stored earlier in front.
func (t *turn) shown(ctx context.Context, card commands.Card, req commands.Request, earlier []commands.Stored) message {
	where := t.place()
	where.more = t.groupButton(ctx, card, req)
	return t.bot.message(t.groupFact(ctx, commands.Confirming(card, earlier)), where, t.share(card, req))
}

// signed adds to a request who asks, where and when, and the key by which a repeated one is recognised.
func (t *turn) signed(req commands.Request) commands.Request {
	req.Asker, req.Place, req.At = t.asker, t.ix.channel, madeAt(t.ix.id)
	if req.Key == "" {
		req.Key = t.ix.id
	}
	return req
}

// share is the custom id of the button that shows an answer to the channel. It is "" if the answer is of no use to
// others or they can see it already.
func (t *turn) share(card commands.Card, req commands.Request) string {
	cmd := t.bot.commands[req.Command]
	if card.Share != nil {
		req = *card.Share
	}
	if cmd == nil || !cmd.Shared && card.Share == nil || !t.place().hidden || card.Refused || card.Failed ||
		card.Bare || len(card.Choices) > 0 {
		return ""
	}
	return t.bot.customID(showKind, t.place(), req)
}

// settle finds the group that is asked, and who asks. It returns false and the answer if there is no group, or if the
// asker has to choose one.
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

// finish sends the answer that do makes. A slow command is deferred at once, any other when it takes too long, in the
// queue or at work. If Discord does not take the deferral, the asker reads that the bot did not respond. Then nothing
// is done, because the asker would log a test again that was already stored.
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

// work waits for its turn and calls do. A panic becomes an apology.
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

// community is the name under which the work is queued before the group is settled: the server, or in a direct message
// the asker.
func (t *turn) community() string {
	if t.ix.server != "" {
		return t.ix.server
	}
	return "@" + t.ix.person.id
}

// words is the group's Env, or before the group is settled one without a group.
func (t *turn) words() *commands.Env {
	if t.env != nil {
		return t.env
	}
	return t.bot.communities.WithoutGroup(t.bot.log.With("community", t.ix.server))
}

// broken is the message for a fault of the program.
func (t *turn) broken(ctx context.Context, err error) message {
	return t.bot.message(commands.Broken(ctx, t.words(), t.bot.loggable(err, t.typed()...)), t.place(), "")
}

// typed is every text that came with the interaction or message.
func (t *turn) typed() []string { return append(t.ix.data.Texts(), t.said) }

// ended is the message for somebody who asks while the program ends.
func (t *turn) ended(ctx context.Context) message {
	return t.bot.message(commands.Ending(ctx, t.words()), t.place(), "")
}

// stale makes the message for a button whose request is no longer known. command is what is known of it, and may be "".
func (t *turn) stale(command string) func(context.Context) message {
	return func(ctx context.Context) message {
		return t.bot.message(commands.Stale(ctx, t.words(), command), t.place(), "")
	}
}

// rescue, deferred, answers a panic outside of work with an apology.
func (t *turn) rescue(ctx context.Context) {
	if r := recover(); r != nil {
		t.respond(ctx, t.broken(ctx, fault.Panicked(r)))
	}
}
