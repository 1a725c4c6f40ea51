package discordtest

import (
	"crypto/rand"
	"encoding/hex"
	"strconv"
	"time"
)

// Kinds of interactions and of the callbacks that answer them
// (interactions/receiving-and-responding).
const (
	interactionCommand      = 2
	interactionComponent    = 3
	interactionAutocomplete = 4
	interactionModal        = 5

	callbackMessage  = 4
	callbackDeferred = 5
	callbackWait     = 6 // deferred update of a component's message
	callbackUpdate   = 7
	callbackChoices  = 8
	callbackModal    = 9
)

// interaction is something a person did that waits for the bot's answer.
type interaction struct {
	srv       *Server
	id, token string
	kind      int
	what      string // for people: "/hold", `button "Tests"`
	user      *User
	channel   *Channel
	data      object
	focus     int64    // autocomplete: the option's type
	source    *message // component or modal from one: the message it sits on
	made      time.Time
	sent      time.Time // real time of delivery
	timer     *time.Timer
	copies    int // deliveries

	answered    int // the callback's type, 0 = none yet
	answeredAt  time.Time
	dead        bool // the deadline passed
	original    *message
	finished    bool // the answer is there, not just a promise
	finishedAt  time.Time
	suggestions []Choice
	modal       *Modal
	changed     chan struct{} // closed and replaced at every step
}

// interact delivers an interaction to the bot.
func (s *Server) interact(ix *interaction) *interaction {
	ix.srv, ix.id, ix.token = s, s.newID(), newToken()
	ix.made, ix.changed = s.Clock.Now(), make(chan struct{})
	s.interactions[ix.token] = ix
	ix.timer = time.AfterFunc(s.opts.Deadline, ix.expire)
	ix.deliver()
	return ix
}

// deliver sends INTERACTION_CREATE; again for a second delivery.
func (ix *interaction) deliver() {
	if ix.copies == 0 {
		ix.sent = time.Now()
	}
	ix.copies++
	ix.srv.dispatch(event{name: "INTERACTION_CREATE", guild: ix.channel.guildID(), data: ix.payload()})
}

// Tokens returns the tokens of all interactions so far. Nobody but the bot may see them.
func (s *Server) Tokens() (tokens []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for token := range s.interactions {
		tokens = append(tokens, token)
	}
	return tokens
}

// newToken makes an interaction token: long, unguessable, and fit for a path.
func newToken() string {
	raw := make([]byte, 48)
	_, _ = rand.Read(raw) // documented never to fail
	return hex.EncodeToString(raw)
}

// expire notes that the three seconds have passed without an answer.
func (ix *interaction) expire() {
	ix.srv.mu.Lock()
	defer ix.srv.mu.Unlock()
	if ix.answered != 0 || ix.dead {
		return
	}
	ix.dead = true
	ix.srv.violations.add("interaction "+ix.what, "no answer within %s: the person sees that the application did "+
		"not respond", ix.srv.opts.Deadline)
	ix.step()
}

// step wakes those who wait for the answer.
func (ix *interaction) step() {
	close(ix.changed)
	ix.changed = make(chan struct{})
}

// overdue tells whether the deadline for the first answer has passed.
func (ix *interaction) overdue() bool {
	return ix.dead || ix.srv.Clock.Now().Sub(ix.made) > ix.srv.opts.Deadline
}

// expired tells whether the token's fifteen minutes are over.
func (ix *interaction) expired() bool {
	return ix.srv.Clock.Now().Sub(ix.made) > documentedTokenLife
}

// payload is the interaction object as the gateway carries it.
func (ix *interaction) payload() object {
	s, ch := ix.srv, ix.channel
	out := object{
		"id": ix.id, "application_id": s.app["id"], "type": ix.kind, "token": ix.token, "version": 1,
		"data": ix.data, "channel_id": ch.ID, "channel": ch.json(), "locale": ix.user.Locale,
		"app_permissions": ch.botMay().String(), "entitlements": []any{}, "attachment_size_limit": s.opts.FileBytes,
		"authorizing_integration_owners": ix.owners(),
	}
	if ix.source != nil {
		out["message"] = ix.source.json()
	}
	if ch.guild == nil {
		out["user"], out["context"] = ix.user.json(), 1
		return out
	}
	m := ch.guild.members[ix.user.ID]
	one := ch.guild.memberJSON(m)
	one["permissions"] = ch.guild.permissions(m).String()
	out["member"], out["context"], out["guild_id"], out["guild_locale"] = one, 0, ch.guild.ID, "en-GB"
	out["guild"] = object{"id": ch.guild.ID, "locale": "en-GB", "features": []string{}}
	return out
}

// owners says who installed the application: the guild, or in a direct message
// "0".
func (ix *interaction) owners() object {
	if ix.channel.guild == nil {
		return object{strconv.Itoa(0): "0"}
	}
	return object{"0": ix.channel.guild.ID}
}

// acknowledge notes the first callback.
func (ix *interaction) acknowledge(kind int) {
	ix.answered, ix.answeredAt = kind, time.Now()
	ix.timer.Stop()
}

// finish notes that the answer itself is there.
func (ix *interaction) finish() {
	if !ix.finished {
		ix.finished, ix.finishedAt = true, time.Now()
	}
	ix.step()
}
