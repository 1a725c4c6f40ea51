package commands

import (
	"context"
	"strings"
	"time"

	"holdbench/internal/commands/urgent"
)

// What is said in an emergency. Nothing else stands on such a Card: no figure, no
// choice, no picture, no action and no caveat.
const (
	directionHarm  = "Stop. Follow the local emergency protocol now. Call for help."
	directionBlood = "Treat it as in a vessel. Do not inject. Follow the local protocol."
	noGuide        = "This tool is no guide to it."
)

// stateUrgent is the state of a direction in the figures.
const stateUrgent = "urgent"

// directed is a direction for a program: there are no figures.
type directed struct {
	State     string `json:"state"`
	Direction string `json:"direction"`
	Protocol  string `json:"protocol,omitempty"` // the address of the group's own
}

// linkWithin is how long the store may take to tell the address of the protocol:
// the direction does not wait for it.
const linkWithin = 500 * time.Millisecond

// Emergency answers a request that tells of harm or of blood seen, or that goes on
// about it; false for any other. A surface asks it before anything that could turn
// a request away: it needs no role and no room, and env may have no Group.
func Emergency(ctx context.Context, env *Env, req Request) (Card, bool) {
	kind := env.emergency(req)
	if kind == urgent.None {
		return Card{}, false
	}
	env.remember(req, turn{urgent: kind})
	c := Card{Title: directionHarm, Address: env.protocolLink(ctx), Bare: true, Urgent: true}
	if kind == urgent.Blood {
		c.Title = directionBlood
	}
	c.line(noGuide)
	c.Figures = directed{stateUrgent, c.Title + " " + noGuide, c.Address}
	return c, true
}

// TellsOfEmergency reports whether Emergency has a direction for a request.
func TellsOfEmergency(env *Env, req Request) bool { return env.emergency(req) != urgent.None }

// emergency is what a request tells of, or what the last turn told of where it goes
// on about that.
func (env *Env) emergency(req Request) urgent.Kind {
	if kind := heard(req); kind != urgent.None {
		return kind
	}
	if last := env.recall(req).urgent; last != urgent.None && urgent.GoesOn(lineOf(req)) {
		return last
	}
	return urgent.None
}

// lineOf is a typed line as it was typed, as far as its command's word is part of it.
func lineOf(req Request) string {
	switch {
	case req.Command == holdName:
		return req.Text
	case req.Said != "":
		return req.Said
	}
	return strings.TrimSpace(req.Command + " " + req.Text)
}

// heard is the gravest of what the words of a request tell of. A post that is to be
// logged is heard as a log line is: in it blood is what the liquid is called.
func heard(req Request) urgent.Kind {
	texts := []string{lineOf(req)}
	for _, m := range []map[string]string{req.Values, req.Filled} {
		for _, value := range m {
			texts = append(texts, value)
		}
	}
	if req.Post != nil {
		texts = append(texts, logName+" "+req.Post.Text)
	}
	gravest := urgent.None
	for _, text := range texts {
		switch urgent.Hear(text) {
		case urgent.Harm:
			return urgent.Harm
		case urgent.Blood:
			gravest = urgent.Blood
		}
	}
	return gravest
}

// protocolLink is the address of the group's own protocol, "" where there is none or
// the store does not tell it in time.
func (env *Env) protocolLink(ctx context.Context) string {
	if env.Group == nil {
		return ""
	}
	ctx, stop := context.WithTimeout(ctx, linkWithin)
	defer stop()
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		env.faults().WarnContext(ctx, "the address of the protocol cannot be read", "error", err)
		return ""
	}
	return settings.ProtocolLink
}
