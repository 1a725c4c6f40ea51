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

// storeWithin is how long the store may take to tell the names of the gels, and the address of the protocol:
// the direction does not wait for it.
const storeWithin = 500 * time.Millisecond

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
	if kind := env.heard(req); kind != urgent.None {
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
	case req.Command == holdName || strings.Contains(req.Command, " ") && req.Said == "":
		return req.Text
	case req.Said != "":
		return req.Said
	}
	return strings.TrimSpace(req.Command + " " + req.Text)
}

// heard is the gravest of what the words of a request tell of. A post that is to be
// logged is heard as a log line is: in it blood is what the liquid is called.
func (env *Env) heard(req Request) urgent.Kind {
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
		switch env.hear(text) {
		case urgent.Harm:
			return urgent.Harm
		case urgent.Blood:
			gravest = urgent.Blood
		}
	}
	return gravest
}

// hear is what a text tells of, where the names of the group's gels are no signs. They
// are asked for only where a text tells of something: nobody else waits for them.
func (env *Env) hear(text string) urgent.Kind {
	kind := urgent.Hear(text)
	if kind == urgent.None || env.Group == nil {
		return kind
	}
	ctx, stop := context.WithTimeout(context.Background(), storeWithin)
	defer stop()
	list, err := env.Group.Vocabulary(ctx)
	if err != nil {
		return kind
	}
	var known []string
	for _, p := range list.Products {
		known = append(append(known, p.Name), p.Aliases...)
	}
	return urgent.Hear(text, known...)
}

// protocolLink is the address of the group's own protocol, "" where there is none or
// the store does not tell it in time.
func (env *Env) protocolLink(ctx context.Context) string {
	if env.Group == nil {
		return ""
	}
	ctx, stop := context.WithTimeout(ctx, storeWithin)
	defer stop()
	settings, err := env.Group.Settings(ctx)
	if err != nil {
		env.faults().WarnContext(ctx, "the address of the protocol cannot be read", "error", err)
		return ""
	}
	return settings.ProtocolLink
}
